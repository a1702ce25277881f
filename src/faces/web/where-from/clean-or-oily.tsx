import { SeenSign } from '../../../drawing/index.ts';
import { say as noteSeen } from '../state/said.ts';
import { say } from '../state/voice.ts';

/** Two large buttons: what was seen at a place just now. It counts from the tap on. */
export function CleanOrOily({ at }: { at: string }) {
  return (
    <fieldset class="clean-or-oily" aria-label={say('where-from.what-at', { at })}>
      <button
        type="button"
        aria-label={say('where-from.clean-at', { at })}
        onClick={() => noteSeen(at, 'clean', new Date())}
      >
        <SeenSign isClean />
        {say('where-from.clean')}
      </button>
      <button
        type="button"
        aria-label={say('where-from.oily-at', { at })}
        onClick={() => noteSeen(at, 'oil', new Date())}
      >
        <SeenSign isClean={false} />
        {say('where-from.oily')}
      </button>
    </fieldset>
  );
}
