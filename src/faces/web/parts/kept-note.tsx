import { isKeeping } from '../state/device-words.ts';
import { say } from '../state/voice.ts';

/** That what is written here is kept on this device, or that it is not; `afresh` takes it away again. */
export function KeptNote({ isMerged = false, afresh }: { isMerged?: boolean; afresh?: () => void }) {
  return (
    <p class={isKeeping.value ? 'hint kept-here' : 'form-errors'} role="status">
      {say(isKeeping.value ? (isMerged ? 'state.kept-with-other-tab' : 'state.kept-here') : 'state.not-kept')}
      {afresh && (
        <button type="button" class="quiet" onClick={afresh}>
          {say('state.begin-afresh')}
        </button>
      )}
    </p>
  );
}
