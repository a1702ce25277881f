import { byName, setByName } from '../state/by-name.ts';
import { say } from '../state/voice.ts';

/** Whose name stands under what is written. */
export function NameField({ class: look }: { class?: string }) {
  return (
    <label class={look}>
      {say('parts.your-name')}
      <input value={byName.value} autocomplete="name" onInput={({ currentTarget }) => setByName(currentTarget.value)} />
    </label>
  );
}
