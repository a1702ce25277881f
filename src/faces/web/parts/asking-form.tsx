import './sign-in.css';
import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';

interface Props {
  label: string;
  /** On its button, and while the log book is asked. */
  words: string;
  asking: string;
  /** Asks the log book; gives back what went wrong, in a sentence or two, or null. */
  ask(form: HTMLFormElement): Promise<string | null>;
  children: ComponentChildren;
}

/** A form that asks the log book for something, once at a time, and says what went wrong. */
export function AskingForm({ label, words, asking, ask, children }: Props) {
  const trouble = useSignal<string | null>(null);
  const isAsking = useSignal(false);
  const submit = async (form: HTMLFormElement) => {
    if (isAsking.value) return;
    isAsking.value = true;
    trouble.value = null;
    trouble.value = await ask(form);
    isAsking.value = false;
  };
  return (
    <form
      class="sign-in"
      aria-label={label}
      onSubmit={(event) => {
        event.preventDefault();
        void submit(event.currentTarget);
      }}
    >
      {children}
      <div aria-live="polite">{trouble.value && <p class="form-errors">{trouble.value}</p>}</div>
      <button type="submit" aria-disabled={isAsking.value}>
        {isAsking.value ? asking : words}
      </button>
    </form>
  );
}
