import { SeenSign } from '../../../drawing/index.ts';
import { say } from '../state/said.ts';

/** Two large buttons: what was seen at a place just now. It counts from the tap on. */
export function CleanOrOily({ at }: { at: string }) {
  return (
    <fieldset class="clean-or-oily" aria-label={`What was seen at ${at}`}>
      <button type="button" aria-label={`Clean: ${at}`} onClick={() => say(at, 'clean', new Date())}>
        <SeenSign isClean />
        Clean
      </button>
      <button type="button" aria-label={`Oily: ${at}`} onClick={() => say(at, 'oil', new Date())}>
        <SeenSign isClean={false} />
        Oily
      </button>
    </fieldset>
  );
}
