import { NO_ROOM } from '../state/outbox.ts';

/** Why a form could not be kept; disappears as soon as that is mended. */
export function FormTrouble({ shown, wrong }: { shown: string | null; wrong: string | null }) {
  return (
    <p class="form-trouble" role="alert">
      {shown === NO_ROOM || shown === wrong ? shown : null}
    </p>
  );
}
