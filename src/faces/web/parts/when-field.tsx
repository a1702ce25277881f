import { msOfSite, zoneSentence } from '../state/site-time.ts';
import { say } from '../state/voice.ts';

/** When it was, by the yard's clock; where this device shows another time, that is said. */
export function WhenField({ when, onWhen }: { when: string; onWhen: (when: string) => void }) {
  const ms = msOfSite(when);
  const words = zoneSentence(Number.isNaN(ms) ? Date.now() : ms);
  return (
    <label class="wide">
      {say('parts.when')}
      <input type="datetime-local" value={when} onInput={({ currentTarget }) => onWhen(currentTarget.value)} />
      {words !== '' && <span class="hint">{words}</span>}
    </label>
  );
}
