import { ask, type Question, question } from '../state/picked.ts';

const QUESTIONS: readonly { id: Question; words: string }[] = [
  { id: 'from', words: 'Where from?' },
  { id: 'block', words: 'Where to?' },
  { id: 'kits', words: 'Kits' },
  { id: 'full', words: 'How full?' },
];

/** The questions: over the answer on a desk, at the thumb on a phone. */
export function Questions() {
  return (
    <nav class="questions" aria-label="Questions">
      {QUESTIONS.map(({ id, words }) => (
        <button
          key={id}
          type="button"
          aria-current={question.value === id ? 'page' : undefined}
          onClick={() => ask(id)}
        >
          {words}
        </button>
      ))}
    </nav>
  );
}
