import { findMeasures, type MeasureEffect, type MeasuresAnswer, type Range } from '../../../measures/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { formatMoney, formatVolume, type Units } from '../../../units/index.ts';
import { measureName, measuresAssumptions, measuresSentences, perLitreWords } from '../../../words/index.ts';
import { currencyOf, loadDrainage, namesOf, numberWord, output, throwErrors, unitsOf } from '../input.ts';
import { bullets, heading, table } from '../print.ts';
import { tellPart } from '../progress.ts';
import { loadSolver } from '../solver.ts';
import { voice } from '../voice.ts';

interface MeasuresFlags {
  budget: string;
  seed: string;
  json?: boolean;
}

const MOST_MONEY = 1e9;
const RANKED_SHOWN = 10;

/** `oilshed measures MAP --budget X`: what keeps out most oil for the money? */
export async function measures(file: string, flags: MeasuresFlags): Promise<number> {
  const budget = numberWord('--budget', flags.budget, { atLeast: 0, atMost: MOST_MONEY });
  const seed = numberWord('--seed', flags.seed, { atLeast: 0 });
  const drainage = await loadDrainage(file);
  const { answer, problems } = findMeasures(drainage, { budget, seed, onPart: tellPart }, await loadSolver());
  throwErrors(file, problems);
  if (!answer) return 1;
  output(flags.json, { ...answer, problems }, () => answerText(drainage.map, answer, budget));
  return 0;
}

function answerText(map: SiteMap, answer: MeasuresAnswer, budget: number): string {
  const [units, currency] = [unitsOf(map), currencyOf(map)];
  const money = (amount: number) => formatMoney(amount, currency);
  const nameOf = namesOf(map);
  const [first, ...rest] = measuresSentences(answer, budget, voice());
  const rows = (effects: readonly MeasureEffect[]) =>
    effects.map((effect) => [
      measureName(effect.measure, voice()),
      nameOf(effect.at),
      money(effect.cost),
      formatVolume(effect.litresPerYear, units),
      perLitreWords(effect, voice()),
    ]);
  const columns = (title: string) =>
    [
      { title },
      { title: 'AT' },
      { title: 'FIRST YEAR', align: 'right' },
      { title: 'KEEPS OUT A YEAR', align: 'right' },
      { title: units === 'us' ? 'A GALLON' : 'A LITRE', align: 'right' },
    ] as const;
  const useful = answer.ranked.filter(({ litresPerYear }) => litresPerYear > 0);
  const ends = answer.ends.map(({ id, before, after }) => [
    nameOf(id),
    rangeWords(before, units),
    rangeWords(after, units),
  ]);
  const frontier = thinned(answer.frontier).map(({ cost, litresPerYear }) => [
    money(cost),
    formatVolume(litresPerYear, units),
  ]);
  return [
    heading(first),
    ...rest,
    ...(answer.chosen.length > 0 ? ['', table(columns('DO'), rows(answer.chosen))] : []),
    '',
    table([{ title: 'OIL A YEAR TO' }, { title: 'NOW', align: 'right' }, { title: 'THEN', align: 'right' }], ends),
    '',
    table(columns('EACH ALONE, CHEAPEST FIRST'), rows(useful.slice(0, RANKED_SHOWN))),
    ...(useful.length > RANKED_SHOWN ? [`  and ${useful.length - RANKED_SHOWN} more, in --json`] : []),
    '',
    table(
      [
        { title: 'FOR', align: 'right' },
        { title: 'AT MOST KEEPS OUT A YEAR', align: 'right' },
      ],
      frontier,
    ),
    answer.frontierIsWhole ? '' : '  Each is the best for its money; between them there are more.\n',
    'Assumed',
    bullets(measuresAssumptions(voice())),
  ].join('\n');
}

const rangeWords = ({ litresPerYear, low, high }: Range, units: Units) =>
  `${formatVolume(litresPerYear, units)} (${formatVolume(low, units)} to ${formatVolume(high, units)})`;

const FRONTIER_SHOWN = 8;

/** A few points, evenly, the first and the last among them. */
function thinned<T>(points: readonly T[]): T[] {
  if (points.length <= FRONTIER_SHOWN) return [...points];
  return Array.from(
    { length: FRONTIER_SHOWN },
    (_, at) => points[Math.round((at * (points.length - 1)) / (FRONTIER_SHOWN - 1))],
  );
}
