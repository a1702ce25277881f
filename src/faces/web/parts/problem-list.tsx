import './problem-list.css';
import { type Problem, type SaidProblem, sayProblem } from '../../../site-map/index.ts';
import { pick, pickedId } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

/** Problems with what to do about each. One whose feature is on the map is a button that picks it there. */
export function ProblemList({ problems, isOnMap }: { problems: readonly Problem[]; isOnMap: (id: string) => boolean }) {
  return (
    <ul class="problems">
      {problems.map((each) => {
        const problem = sayProblem(each, voice.value);
        const { code, severity, id, field, message } = problem;
        const onMap = id !== null && isOnMap(id);
        return (
          <li key={`${code} ${id} ${field} ${message}`} class={severity}>
            {onMap ? (
              <button type="button" data-row={id} aria-pressed={pickedId.value === id} onClick={() => pick(id)}>
                <ProblemWords {...problem} />
              </button>
            ) : (
              <ProblemWords {...problem} />
            )}
          </li>
        );
      })}
    </ul>
  );
}

function ProblemWords({ severity, id, field, message, cure }: SaidProblem) {
  return (
    <>
      <span class="severity">{say(`things.severity-${severity}`)}</span>
      <strong>{[id ?? say('parts.the-file'), field].filter(Boolean).join(', ')}</strong>
      <span>{`${capital(message)}. ${capital(cure)}.`}</span>
    </>
  );
}
