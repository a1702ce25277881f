import { NO_ROOM } from '../state/outbox.ts';

/** Why a form was not kept when it was tried; gone as soon as that is mended. */
export function FormTrouble({ told, wrong }: { told: string | null; wrong: string | null }) {
  return (
    <p class="form-trouble" role="alert">
      {told === NO_ROOM || told === wrong ? told : null}
    </p>
  );
}
