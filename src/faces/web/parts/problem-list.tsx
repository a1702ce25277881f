import { capital } from '../../../catalogue/index.ts';
import './problem-list.css';
import { type Problem, type SaidProblem, sayProblem } from '../../../site-map/index.ts';
import { pick, pickedId } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';

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
      <span>
        {say('parts.problem-and-remedy', {
          problem: capital(message, voice.value.locale),
          remedy: capital(cure, voice.value.locale),
        })}
      </span>
    </>
  );
}
