import { ask, QUESTIONS, type Question, question } from '../state/picked.ts';

/** What stands on the button of a question and over its answer. */
export const QUESTION_WORDS: Readonly<Record<Question, string>> = {
  from: 'Where from?',
  block: 'Where to?',
  kits: 'Kits',
  full: 'How full?',
};

/** The questions: over the answer on a desk, at the thumb on a phone. */
export function Questions() {
  return (
    <nav class="questions" aria-label="Questions">
      {QUESTIONS.map((id) => (
        <button
          key={id}
          type="button"
          aria-current={question.value === id ? 'page' : undefined}
          onClick={() => ask(id)}
        >
          {QUESTION_WORDS[id]}
        </button>
      ))}
    </nav>
  );
}
