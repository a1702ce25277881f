import type { IntegerProgram, IntegerSolver, Row } from '../algorithms/index.ts';
import type { Drainage } from '../drainage/index.ts';
import { byId, type Control, type Fluid } from '../site-map/index.ts';
import { containmentWith, type Gate, type SpillNetwork, spillNetwork } from './containment.ts';
import { controlsWithout } from './costs.ts';
import { kitsOf } from './kits-stock.ts';

/** The next release comes from a zone with this chance, 0 to 1. */
export interface SourceChance {
  zone: string;
  chance: number;
}

/** Where the next release may come from, and what is known of the yard already. */
export interface ExpectedQuestion {
  /** Zones that are not on the map, or less likely than one in a thousand, are left out. */
  sources: readonly SourceChance[];
  /** Left out: not known, so every control is considered. For gasoline none is. */
  fluid?: Fluid;
  /** Structures that have oil in them already: they cost nothing more. */
  alreadyFouled: readonly string[];
}

/**
 * Costs are expected ones, over the chances of the zones, in the site's currency. Minutes are null, since controls that
 * are placed ahead race with nothing.
 */
export interface ExpectedPlan {
  controls: { at: string; control: Control; cost: number; oilMinutes: null; crewMinutes: null }[];
  controlCost: number;
  cleanupCost: number;
  totalCost: number;
  /** Outfalls and public places that oil may reach all the same, each with the chance that it does. */
  waters: { id: string; chance: number }[];
  /** 0: proved to be the best; else by how much of its cost it may be over that. */
  gap: number;
}

/** The plan, and what to hold it against. */
export interface ExpectedAnswer {
  plan: ExpectedPlan;
  /** Expected clean-up where nothing is placed. */
  doNothingCost: number;
  /** Every control alone, least expected total first. */
  singles: { at: string; control: Control; cost: number; totalCost: number; saves: number; inTime: true }[];
  /** The chances it rests on, largest first; what is not on the map is left out, so they may add up to less than 1. */
  sources: SourceChance[];
}

/** A zone less likely than this is left out: it would add a network to the program and hardly move a cost. */
const LEAST_CHANCE = 1e-3;
/**
 * Waters count as equally well kept within this chance: far under what any chance is known to, far over rounding
 * errors.
 */
const SAME_CHANCE = 1e-9;

/** A zone that the release may come from, with the network of that release. */
interface Scenario extends SourceChance {
  spill: SpillNetwork;
}

/**
 * Where to block when it is not known which zone the next release comes from: the one set of controls, placed ahead, of
 * least expected cost; what keeps oil out of the water comes first, whatever the prices. A control that serves several
 * zones is paid once, so this is no minimum cut: a small integer program, each zone's network with its own oily places
 * and all of them with the same controls. What the kits hold is counted, time is not. O(zones × reached places) to
 * write down. Null where the solver finds no answer within its limit.
 *
 * Costs are in the site's currency: the controls' in full, since they are placed whatever happens, and clean-up times
 * the chance of its zone. The chances are of the next release alone; what is left of 1 is a source that is not on the
 * map, against which nothing is planned. Not to be trusted where whether a crew is in time would decide.
 */
export function blockExpected(
  drainage: Drainage,
  { sources, fluid, alreadyFouled }: ExpectedQuestion,
  solve: IntegerSolver,
): ExpectedAnswer | null {
  const zones = new Map(drainage.map.zones.map((zone) => [zone.id, zone]));
  const scenarios = sources
    .flatMap(({ zone: id, chance }): Scenario[] => {
      const zone = zones.get(id);
      if (!zone || chance < LEAST_CHANCE) return [];
      const start = { zone, inlets: zone.inlets.map(({ to }) => to), without: controlsWithout(fluid ?? null) };
      const spill = spillNetwork(drainage, { ...start, alreadyFouled: new Set(alreadyFouled) });
      return [{ zone: id, chance, spill }];
    })
    .sort((a, b) => b.chance - a.chance || byId(a.zone, b.zone));
  const gates = distinctGates(scenarios);
  // What the solver chose is told with costs of its own reckoning (`expectedCost`), never with the program's.
  const solution = leastExpected(scenarios, gates, { stock: stockOf(drainage), solve });
  if (!solution) return null;
  const nothing = expectedCost(scenarios, []);
  return {
    plan: planOf(scenarios, solution.chosen, solution.gap),
    doNothingCost: nothing.cleanupCost,
    singles: gates
      .map((gate) => {
        const totalCost = gate.cost + expectedCost(scenarios, [gate]).cleanupCost;
        const saves = nothing.cleanupCost - totalCost;
        return { at: gate.at, control: gate.control, cost: gate.cost, totalCost, saves, inTime: true as const };
      })
      .sort((a, b) => a.totalCost - b.totalCost || byId(a.at, b.at) || byId(a.control, b.control)),
    sources: scenarios.map(({ zone, chance }) => ({ zone, chance })),
  };
}

/** The same control of the same place is one, in whichever zone's network it stands. */
const keyOf = ({ at, control }: Gate) => `${control} ${at}`;

/** Every control that any of the zones could do with, once. */
function distinctGates(scenarios: readonly Scenario[]): Gate[] {
  const gates = new Map(scenarios.flatMap(({ spill }) => spill.choices.map(({ gate }) => [keyOf(gate), gate])));
  return [...gates.values()];
}

/**
 * How many of each control all kits together hold; Infinity where kits are not on the map. Placed ahead, without haste,
 * so it does not matter which kit something comes from. A valve is part of the pipe and needs nothing.
 */
function stockOf({ map }: Drainage): (control: Control) => number {
  const kits = kitsOf(map);
  return (control) =>
    kits.length === 0 || control === 'valve'
      ? Number.POSITIVE_INFINITY
      : kits.reduce((sum, { stock }) => sum + stock[control], 0);
}

/**
 * What these controls leave to be cleaned, and each water with the chance that oil gets to it, by going through each
 * zone's network. It does not rest on the solver: what is told of a plan is what its controls do.
 */
function expectedCost(
  scenarios: readonly Scenario[],
  gates: readonly Gate[],
): { cleanupCost: number; waters: Map<string, number> } {
  const keys = new Set(gates.map(keyOf));
  const waters = new Map<string, number>();
  let cleanupCost = 0;
  for (const { chance, spill } of scenarios) {
    const reached = containmentWith(
      spill,
      spill.choices.filter(({ gate }) => keys.has(keyOf(gate))),
    );
    cleanupCost += chance * reached.cleanupCost;
    for (const id of reached.waters) waters.set(id, (waters.get(id) ?? 0) + chance);
  }
  return { cleanupCost, waters };
}

function planOf(scenarios: readonly Scenario[], chosen: readonly Gate[], gap: number): ExpectedPlan {
  const { cleanupCost, waters } = expectedCost(scenarios, chosen);
  const controlCost = chosen.reduce((sum, { cost }) => sum + cost, 0);
  return {
    controls: chosen.map(({ at, control, cost }) => ({ at, control, cost, oilMinutes: null, crewMinutes: null })),
    controlCost,
    cleanupCost,
    totalCost: controlCost + cleanupCost,
    waters: [...waters].map(([id, chance]) => ({ id, chance })).sort((a, b) => b.chance - a.chance || byId(a.id, b.id)),
    gap,
  };
}

interface Means {
  stock: (control: Control) => number;
  solve: IntegerSolver;
}

/**
 * First the least chance of oil in the water, then, at that, the least cost. Two programs instead of one with weights,
 * since a weight that is large enough for every price would leave the prices no digits. The second may exceed the first
 * by `SAME_CHANCE`, or a rounding error would leave it without an answer. What is summed is over waters: one release
 * that gets to two of them counts twice. The gap is the worse one of the two.
 */
function leastExpected(
  scenarios: readonly Scenario[],
  gates: readonly Gate[],
  { stock, solve }: Means,
): { chosen: Gate[]; gap: number } | null {
  const program = programOf(scenarios, gates, stock);
  // Where no zone's oil can get to water, there is nothing to make least, and the first program is left out.
  const wet = program.water.map((chance, variable) => ({ chance, variable })).filter(({ chance }) => chance > 0);
  const driest = wet.length === 0 ? { cost: 0, gap: 0 } : solve({ ...program, cost: program.water });
  if (!driest) return null;
  const keepDry: Row = {
    variables: wet.map(({ variable }) => variable),
    factors: wet.map(({ chance }) => chance),
    atLeast: Number.NEGATIVE_INFINITY,
    atMost: driest.cost + SAME_CHANCE,
  };
  const cheapest = solve({ ...program, rows: wet.length === 0 ? program.rows : [...program.rows, keepDry] });
  if (!cheapest) return null;
  return { chosen: gates.filter((_, at) => cheapest.values[at] === 1), gap: Math.max(driest.gap, cheapest.gap) };
}

/**
 * Variables: each control, placed or not; then for each zone and place of its network, oily or not.
 *
 * For an edge from u to v, oily(v) ≥ oily(u) − the controls placed on it; the source is oily. With the controls chosen,
 * the least values that satisfy all rows are 1 where oil gets to and 0 elsewhere: along a way without a control the 1
 * is handed on, and where one is placed the row asks for nothing. Clean-up costs 0 or more, so the least total takes
 * those values by itself, and only the controls have to be whole numbers; that is why the program stays small. The sink
 * has no rows: its ways' prices stand as the cost of their oily places. With one zone, and stock enough, the program
 * says the same as the zone's minimum cut. Controls that two zones share tie the networks together, which no cut can
 * do.
 */
function programOf(
  scenarios: readonly Scenario[],
  gates: readonly Gate[],
  stock: Means['stock'],
): IntegerProgram & { water: number[] } {
  const variables = new Map(gates.map((gate, at) => [keyOf(gate), at]));
  const variableOf = (gate: Gate): number => {
    const variable = variables.get(keyOf(gate));
    if (variable === undefined) throw new Error(`no scenario has the control ${keyOf(gate)}`);
    return variable;
  };
  const cost = gates.map((gate) => gate.cost);
  const water = gates.map(() => 0);
  const rows: Row[] = [];
  const none = { atLeast: Number.NEGATIVE_INFINITY, atMost: Number.POSITIVE_INFINITY };
  for (const { chance, spill } of scenarios) {
    const { network, source, sink, choices, fouled } = spill;
    const first = cost.length;
    for (let node = 0; node < network.nodeCount; node++) {
      cost.push(0);
      water.push(0);
    }
    for (const { node, cleanup, isWater } of fouled) {
      cost[first + node] += chance * cleanup;
      if (isWater) water[first + node] += chance;
    }
    rows.push({ ...none, variables: [first + source], factors: [1], atLeast: 1 });
    const closing = new Map<number, number[]>();
    for (const { edge, gate } of choices) {
      closing.set(edge, [...(closing.get(edge) ?? []), variableOf(gate)]);
    }
    for (let edge = 0; edge < network.from.length; edge++) {
      const [from, to] = [network.from[edge], network.to[edge]];
      if (to === sink) continue;
      // What leads on is oily if its start is, unless one of these is placed.
      const controls = closing.get(edge) ?? [];
      rows.push({
        ...none,
        variables: [first + to, first + from, ...controls],
        factors: [1, -1, ...controls.map(() => 1)],
        atLeast: 0,
      });
    }
  }
  // No more of a control than all kits hold; said only where there are more places for it than that.
  for (const control of new Set(gates.map((gate) => gate.control))) {
    const counted = gates.flatMap((gate, at) => (gate.control === control ? [at] : []));
    if (counted.length > stock(control)) {
      rows.push({ ...none, variables: counted, factors: counted.map(() => 1), atMost: stock(control) });
    }
  }
  return { cost, water, rows, isWhole: cost.map((_, at) => at < gates.length) };
}
