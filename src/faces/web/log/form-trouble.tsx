import type { Told } from '../../../catalogue/index.ts';
import { NO_ROOM } from '../state/outbox.ts';
import { voice } from '../state/voice.ts';

/** Why a form could not be kept; disappears as soon as that is mended. */
export function FormTrouble({ shown, wrong }: { shown: Told | null; wrong: Told | null }) {
  return (
    <p class="form-trouble" role="alert">
      {shown && [NO_ROOM.told, wrong?.told].includes(shown.told) ? voice.value.tell(shown) : null}
    </p>
  );
}
