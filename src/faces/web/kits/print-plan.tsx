import { kitsSentences, measureName, namesWords, perLitreWords, walkMinutes } from '../../../words/index.ts';
import { chosenMeasures, kits, letteredKits, measures, withinMinutes } from '../state/plan.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';
import { holdsSentence, kitCostWords, kitPlace, spokenKits } from './kits-part.tsx';
import { spokenMeasures } from './measures-part.tsx';

/** So many rows in all keep the plan on one page. */
const ROWS = 13;
const MOST_KITS = 8;

/** What the plan says first: where to put kits, and what to spend money on, if that was looked at. */
export function PlanWords() {
  const answer = kits.value?.answer;
  const [first, ...rest] = measures.value ? spokenMeasures(measures.value) : [];
  return (
    <header>
      <h2>{spokenKits()}</h2>
      {answer && <p>{kitsSentences(answer, withinMinutes.value, nameOf, voice.value).slice(1).join(' ')}</p>}
      {first && (
        <p>
          <strong>{first}</strong> {rest.join(' ')}
        </p>
      )}
    </header>
  );
}

export function PlanTables() {
  const shownKits = letteredKits.value.slice(0, MOST_KITS);
  // A kit takes about two lines.
  const shownMeasures = chosenMeasures.value.slice(0, ROWS - 2 * Math.min(shownKits.length, 5));
  const left = leftWords({
    kits: letteredKits.value.length - shownKits.length,
    measures: chosenMeasures.value.length - shownMeasures.length,
  });
  return (
    <>
      {shownKits.length > 0 && <KitTable shown={shownKits} />}
      {shownMeasures.length > 0 && <MeasureTable shown={shownMeasures} />}
      <p>
        {left} {say('page-prints.plan-guesses')}
      </p>
    </>
  );
}

/** What is left to the shopping list; null where nothing is. */
function leftWords(left: { kits: number; measures: number }): string | null {
  if (left.kits > 0 && left.measures > 0) return say('page-prints.more-both', left);
  if (left.kits > 0) return say('page-prints.more-kits', left);
  return left.measures > 0 ? say('page-prints.more-measures', left) : null;
}

function KitTable({ shown }: { shown: typeof letteredKits.value }) {
  return (
    <table>
      <thead>
        <tr>
          <th>{say('page-prints.kit')}</th>
          <th>{say('page-prints.cost')}</th>
          <th>{say('page-prints.farthest')}</th>
          <th>{say('page-prints.serves-holds')}</th>
        </tr>
      </thead>
      <tbody>
        {shown.map((kit) => (
          <tr key={kit.letter}>
            <td>
              <strong>{kit.letter}</strong> {kitPlace(kit)}
            </td>
            <td>{kitCostWords(kit)}</td>
            <td>{kit.farthestMinutes === null ? '–' : walkMinutes(kit.farthestMinutes, voice.value)}</td>
            <td class="wrapped">{[servesWords(kit.serves), holdsSentence(kit)].join(' ')}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

const servesWords = (zones: readonly string[]) =>
  zones.length === 0
    ? say('page-prints.no-zone')
    : say('page-prints.serves', { zones: namesWords(zones, nameOf, voice.value) });

function MeasureTable({ shown }: { shown: typeof chosenMeasures.value }) {
  return (
    <table>
      <thead>
        <tr>
          <th>{say('page-prints.do')}</th>
          <th>{say('page-prints.at')}</th>
          <th>{say('page-prints.first-year')}</th>
          <th>{say('page-prints.keeps-out')}</th>
          <th>{say('page-prints.per-volume', { units: voice.value.units })}</th>
        </tr>
      </thead>
      <tbody>
        {shown.map((effect, at) => (
          <tr key={`${effect.measure} ${effect.at}`}>
            <td>
              <strong>{at + 1}</strong> {measureName(effect.measure, voice.value)}
            </td>
            <td>{nameOf(effect.at)}</td>
            <td>{voice.value.text({ money: effect.cost })}</td>
            <td>{voice.value.text({ litres: effect.litresPerYear })}</td>
            <td>{perLitreWords(effect, voice.value)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
