import { byName, setByName } from '../state/by-name.ts';

/** Whose name stands under what is written. */
export function NameField({ class: look }: { class?: string }) {
  return (
    <label class={look}>
      Your name
      <input value={byName.value} autocomplete="name" onInput={({ currentTarget }) => setByName(currentTarget.value)} />
    </label>
  );
}
