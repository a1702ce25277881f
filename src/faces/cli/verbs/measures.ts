import type { Key } from '../../../catalogue/index.ts';
import { findMeasures, type MeasureEffect, type MeasuresAnswer, type Range } from '../../../measures/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { measureName, measuresAssumptions, measuresSentences, perLitreWords } from '../../../words/index.ts';
import { loadDrainage, namesOf, numberWord, output, throwErrors } from '../input.ts';
import { bullets, type Column, heading, left, right, table } from '../print.ts';
import { tellPart } from '../progress.ts';
import { loadSolver } from '../solver.ts';
import { say, voice } from '../voice.ts';

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
  const { text, units } = voice();
  const money = (amount: number) => text({ money: amount });
  const volume = (litres: number) => text({ litres });
  const nameOf = namesOf(map);
  const [first, ...rest] = measuresSentences(answer, budget, voice());
  const rows = (effects: readonly MeasureEffect[]) =>
    effects.map((effect) => [
      measureName(effect.measure, voice()),
      nameOf(effect.at),
      money(effect.cost),
      volume(effect.litresPerYear),
      perLitreWords(effect, voice()),
    ]);
  const columns = (title: Key): Column[] => [
    left(title),
    left('cli.column-at'),
    right('cli.measures-column-year'),
    right('cli.measures-column-keeps'),
    { title: say('cli.measures-column-each', { units }), align: 'right' },
  ];
  const useful = answer.ranked.filter(({ litresPerYear }) => litresPerYear > 0);
  const ends = answer.ends.map(({ id, before, after }) => [nameOf(id), rangeWords(before), rangeWords(after)]);
  const frontier = thinned(answer.frontier).map(({ cost, litresPerYear }) => [money(cost), volume(litresPerYear)]);
  return [
    heading(first),
    ...rest,
    ...(answer.chosen.length > 0 ? ['', table(columns('cli.measures-column-do'), rows(answer.chosen))] : []),
    '',
    table([left('cli.measures-column-to'), right('cli.measures-column-now'), right('cli.measures-column-then')], ends),
    '',
    table(columns('cli.measures-column-alone'), rows(useful.slice(0, RANKED_SHOWN))),
    ...(useful.length > RANKED_SHOWN ? [`  ${say('cli.more-in-json', { count: useful.length - RANKED_SHOWN })}`] : []),
    '',
    table([right('cli.measures-column-for'), right('cli.measures-column-at-most')], frontier),
    answer.frontierIsWhole ? '' : `  ${say('cli.measures-between')}\n`,
    say('cli.assumed'),
    bullets(measuresAssumptions(voice())),
  ].join('\n');
}

const rangeWords = ({ litresPerYear, low, high }: Range) =>
  say('cli.measures-range', { volume: { litres: litresPerYear }, low: { litres: low }, high: { litres: high } });

const FRONTIER_SHOWN = 8;

/** A few points, evenly, the first and the last among them. */
function thinned<T>(points: readonly T[]): T[] {
  if (points.length <= FRONTIER_SHOWN) return [...points];
  return Array.from(
    { length: FRONTIER_SHOWN },
    (_, at) => points[Math.round((at * (points.length - 1)) / (FRONTIER_SHOWN - 1))],
  );
}
