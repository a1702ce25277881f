import { blockExpected, type ExpectedAnswer } from '../../../block/index.ts';
import type { Fluid, SiteMap } from '../../../site-map/index.ts';
import { findSources, foundOil } from '../../../sources/index.ts';
import { cautionsFor, fluidAdvice } from '../../../spill/index.ts';
import { formatMoney, formatShare } from '../../../units/index.ts';
import { controlOrders } from '../../../words/index.ts';
import { type FindingsSource, loadFindings } from '../findings.ts';
import { currencyOf, InputError, loadDrainage, namesOf, output, throwErrors, UsageError } from '../input.ts';
import { bullets, fileName, heading, table } from '../print.ts';
import { loadSolver } from '../solver.ts';
import { fluidFlag, type SpillFlags } from '../spill-flags.ts';
import { voice } from '../voice.ts';

interface Flags extends SpillFlags {
  findings: FindingsSource;
  crew?: string;
  margin?: string;
  json?: boolean;
}

/** Words that only make sense for a spill that is running. */
const RUNNING = ['zone', 'point', 'litres', 'rain', 'over', 'ago', 'crew', 'margin'] as const;
const SHOWN = 10;

/** `oilshed block MAP --findings F`: where to block ahead of the next release, wherever it is likely to come from? */
export async function blockFindings(file: string, flags: Flags): Promise<number> {
  const extra = RUNNING.find((word) => flags[word] !== undefined);
  if (extra) throw new UsageError(`--findings plans ahead of a spill and takes no --${extra}; leave one of them out`);
  const fluid = fluidFlag(flags.fluid);
  const drainage = await loadDrainage(file);
  const findings = loadFindings(flags.findings, drainage.map);
  const { answer: found, problems } = findSources(drainage, findings, {});
  throwErrors(file, problems);
  if (!found) return 1;
  const alreadyFouled = findings.flatMap(({ at, source }) => (at !== null && foundOil(source) ? [at] : []));
  const sources = found.zones.map(({ id, main }) => ({ zone: id, chance: main }));
  const answer = blockExpected(drainage, { sources, fluid, alreadyFouled }, await loadSolver());
  if (!answer) {
    throw new InputError([
      `${fileName(file)}: no plan was found for so many zones within the solver's limit; ask with --zone for the likeliest`,
    ]);
  }
  const unmapped = found.unmapped.main;
  output(flags.json, { ...answer, unmapped, advice: fluidAdvice(fluid ?? null, []), problems }, () =>
    answerText(drainage.map, answer, { fluid: fluid ?? null, unmapped }),
  );
  return 0;
}

function answerText(
  map: SiteMap,
  { plan, doNothingCost, singles, sources }: ExpectedAnswer,
  { fluid, unmapped }: { fluid: Fluid | null; unmapped: number },
): string {
  const currency = currencyOf(map);
  const money = (amount: number) => formatMoney(amount, currency);
  const nameOf = namesOf(map);
  const likely = sources.slice(0, 3).map(({ zone, chance }) => `${nameOf(zone)} ${formatShare(chance)}`);
  const orders =
    plan.controls.length > 0
      ? controlOrders(plan.controls, nameOf, voice())
      : 'Placing nothing ahead is cheapest here.';
  const columns = [
    { title: 'ONE CONTROL ALONE' },
    { title: 'AT' },
    { title: 'EXPECTED TOTAL', align: 'right' },
    { title: 'SAVES', align: 'right' },
  ] as const;
  const rows = singles
    .slice(0, SHOWN)
    .map((single) => [single.control, nameOf(single.at), money(single.totalCost), money(Math.max(0, single.saves))]);
  const assumed = [
    'The controls are placed ahead of the next release, so time is not counted. What kits hold is.',
    'Costs are expected ones: each zone’s clean-up counts by the chance that the release comes from there.',
    ...(unmapped >= 0.005
      ? [`${formatShare(unmapped)} speaks for something that is not on the map; no plan covers that.`]
      : []),
    'Structures where oil was found cost nothing more. Costs the map does not state are guesses, within a factor of 3.',
  ];
  return [
    `Likeliest: ${likely.join(', ')}.`,
    ...fluidAdvice(fluid, []).map(voice().tell),
    '',
    heading(orders),
    `Expected total ${money(plan.totalCost)}: controls ${money(plan.controlCost)}, clean-up ${money(plan.cleanupCost)}.`,
    ...plan.waters.map(
      ({ id, chance }) => `Oil can still get to ${nameOf(id)}, with a chance of ${formatShare(chance)}.`,
    ),
    ...(plan.gap > 0 ? [`It may be over the best by ${formatShare(plan.gap)}.`] : []),
    `Doing nothing costs ${money(doNothingCost)} on average.`,
    ...(rows.length > 0 ? ['', table(columns, rows)] : []),
    '',
    'Take care',
    bullets(cautionsFor(fluid).map(voice().tell)),
    'Assumed',
    bullets(assumed),
  ].join('\n');
}
