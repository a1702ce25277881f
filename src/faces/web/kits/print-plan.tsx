import { formatMoney, formatVolume } from '../../../units/index.ts';
import { kitsSentences, measureName, namesWords, perLitreWords, walkMinutes } from '../../../words/index.ts';
import { chosenMeasures, kits, letteredKits, measures, withinMinutes } from '../state/plan.ts';
import { voice } from '../state/voice.ts';
import { currency, nameOf, units } from '../state/yard.ts';
import { holdsSentence, kitCostWords, kitPlace, spokenKits } from './kits-part.tsx';
import { spokenMeasures } from './measures-part.tsx';

/** So many rows in all keep the plan on one page. */
const ROWS = 13;
const MOST_KITS = 8;

const money = (amount: number) => formatMoney(amount, currency.value);

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
  const left = [
    ...leftWords(letteredKits.value.length - shownKits.length, 'kit'),
    ...leftWords(chosenMeasures.value.length - shownMeasures.length, 'measure'),
  ];
  return (
    <>
      {shownKits.length > 0 && <KitTable shown={shownKits} />}
      {shownMeasures.length > 0 && <MeasureTable shown={shownMeasures} />}
      <p>
        {left.length > 0 ? `And ${left.join(' and ')} more, in the shopping list. ` : ''}
        Contents are a guess to be edited; so are what measures cut and cost, but for inserts. Costs are those of the
        first year.
      </p>
    </>
  );
}

const leftWords = (count: number, one: string) => (count > 0 ? [`${count} ${one}${count === 1 ? '' : 's'}`] : []);

function KitTable({ shown }: { shown: typeof letteredKits.value }) {
  return (
    <table>
      <thead>
        <tr>
          <th>Kit</th>
          <th>Cost</th>
          <th>Farthest</th>
          <th>Serves, and holds</th>
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
            <td class="wrapped">{`${namesWords(kit.serves, nameOf, voice.value) || 'No zone'}. ${holdsSentence(kit)}`}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function MeasureTable({ shown }: { shown: typeof chosenMeasures.value }) {
  return (
    <table>
      <thead>
        <tr>
          <th>Do</th>
          <th>At</th>
          <th>First year</th>
          <th>Keeps out a year</th>
          <th>{units.value === 'us' ? 'A gallon' : 'A litre'}</th>
        </tr>
      </thead>
      <tbody>
        {shown.map((effect, at) => (
          <tr key={`${effect.measure} ${effect.at}`}>
            <td>
              <strong>{at + 1}</strong> {measureName(effect.measure, voice.value)}
            </td>
            <td>{nameOf(effect.at)}</td>
            <td>{money(effect.cost)}</td>
            <td>{formatVolume(effect.litresPerYear, units.value)}</td>
            <td>{perLitreWords(effect, voice.value)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
