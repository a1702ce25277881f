import { LidSign } from '../../../drawing/index.ts';
import type { NextLid, SourcesAnswer } from '../../../sources/index.ts';
import { assumedSentences, howSureSentence, releaseSentence, walkWords } from '../../../words/index.ts';
import { lids } from '../map/drawn-yard.ts';
import { pick, pickedId } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';

/** Which lids tell most, how sure the figures are, and what they take for granted. */
export function HowSure({ answer }: { answer: SourcesAnswer }) {
  return (
    <>
      <Lids answer={answer} />
      <section>
        <h2>{say('app.how-sure')}</h2>
        <ul class="plain-list">
          {[releaseSentence(answer, voice.value), howSureSentence(answer, voice.value)].map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      </section>
      <section>
        <h2>{say('app.what-is-assumed')}</h2>
        <ul class="plain-list">
          {assumedSentences(answer, voice.value).map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      </section>
    </>
  );
}

/** The lids that would tell most, as numbered on the map. */
function Lids({ answer }: { answer: SourcesAnswer }) {
  if (lids.value.length === 0) return null;
  return (
    <section>
      <h2>{say('where-from.lids-that-tell')}</h2>
      <ol class="lids">
        {lids.value.map((id, at) => (
          <li key={id}>
            <button
              type="button"
              class="lid-row"
              data-row={id}
              aria-pressed={pickedId.value === id}
              onClick={() => pick(id)}
            >
              <LidSign number={at + 1} />
              <span>{id}</span>
              <span>{lidWords(answer.nextLids.find((each) => each.at === id))}</span>
            </button>
          </li>
        ))}
      </ol>
    </section>
  );
}

/** "1 min walk, oil there: 56 %". */
function lidWords(lid: NextLid | undefined): string {
  if (!lid) return '';
  const share = { share: lid.chanceOfOil };
  return lid.minutes === null
    ? say('where-from.oil-there', { share })
    : say('where-from.walk-oil-there', { walk: walkWords(lid.minutes, voice.value), share });
}
