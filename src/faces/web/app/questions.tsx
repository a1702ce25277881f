import { ask, QUESTIONS, type Question, question } from '../state/picked.ts';
import { say } from '../state/voice.ts';

/** What stands on the button of a question and over its answer. */
export const questionName = (id: Question): string => say(`app.question-${id}`);

/** The questions: over the answer on a desk, at the thumb on a phone. */
export function Questions() {
  return (
    <nav class="questions" aria-label={say('app.questions')}>
      {QUESTIONS.map((id) => (
        <button
          key={id}
          type="button"
          class={id === 'block' ? 'red' : undefined}
          aria-current={question.value === id ? 'page' : undefined}
          onClick={() => ask(id)}
        >
          {questionName(id)}
        </button>
      ))}
    </nav>
  );
}
