import { blockExpected, type ExpectedAnswer } from '../../../block/index.ts';
import type { Fluid, SiteMap } from '../../../site-map/index.ts';
import { findSources, foundOil } from '../../../sources/index.ts';
import { cautionsFor, fluidAdvice } from '../../../spill/index.ts';
import { controlOrders } from '../../../words/index.ts';
import { type FindingsSource, loadFindings } from '../findings.ts';
import { InputError, loadDrainage, namesOf, output, throwErrors, UsageError } from '../input.ts';
import { bullets, fileLine, heading, left, right, table } from '../print.ts';
import { loadSolver } from '../solver.ts';
import { fluidFlag, type SpillFlags } from '../spill-flags.ts';
import { say, voice } from '../voice.ts';

interface Flags extends SpillFlags {
  findings: FindingsSource;
  crew?: string;
  hands?: string;
  on?: string;
  brief?: boolean;
  margin?: string;
  json?: boolean;
}

/** Words that only make sense for a spill that is running. */
const RUNNING = ['litres', 'rain', 'over', 'still', 'until', 'ago', 'crew', 'hands', 'on', 'brief', 'margin'] as const;
const SHOWN = 10;

/** `oilshed block MAP --findings F`: where to block ahead of the next release, wherever it is likely to come from? */
export async function blockFindings(file: string, flags: Flags): Promise<number> {
  const extra = RUNNING.find((word) => flags[word] !== undefined);
  if (extra) throw new UsageError(say('cli-errors.findings-and', { flag: `--${extra}` }));
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
    throw new InputError([fileLine(file, say('cli-errors.no-plan'))]);
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
  const { text, tell } = voice();
  const nameOf = namesOf(map);
  const likely = sources
    .slice(0, 3)
    .map(({ zone, chance }) => say('cli.expected-likely-one', { zone: nameOf(zone), share: { share: chance } }));
  const orders = plan.controls.length > 0 ? controlOrders(plan.controls, nameOf, voice()) : say('cli.expected-nothing');
  const columns = [
    left('cli.column-one-control'),
    left('cli.column-at'),
    right('cli.expected-column-total'),
    right('cli.column-saves'),
  ];
  const rows = singles
    .slice(0, SHOWN)
    .map((single) => [
      say(`things.control-${single.control}`),
      nameOf(single.at),
      text({ money: single.totalCost }),
      text({ money: Math.max(0, single.saves) }),
    ]);
  const assumed = [
    say('cli.expected-ahead'),
    say('cli.expected-costs'),
    ...(unmapped >= 0.005 ? [say('cli.expected-unmapped', { share: { share: unmapped } })] : []),
    say('cli.expected-guesses'),
  ];
  return [
    say('cli.expected-likely', { zones: likely.join('; ') }),
    ...fluidAdvice(fluid, []).map(tell),
    '',
    heading(orders),
    say('cli.expected-total', {
      total: { money: plan.totalCost },
      controls: { money: plan.controlCost },
      cleanup: { money: plan.cleanupCost },
    }),
    ...plan.waters.map(({ id, chance }) => say('cli.expected-water', { water: nameOf(id), chance: { share: chance } })),
    ...(plan.gap > 0 ? [say('cli.expected-gap', { share: { share: plan.gap } })] : []),
    say('cli.expected-do-nothing', { money: { money: doNothingCost } }),
    ...(rows.length > 0 ? ['', table(columns, rows)] : []),
    '',
    say('cli.take-care'),
    bullets(cautionsFor(fluid).map(tell)),
    say('cli.assumed'),
    bullets(assumed),
  ].join('\n');
}
