import { type Told, told } from '../catalogue/index.ts';
import type { Drainage } from '../drainage/index.ts';
import {
  byId,
  type Control,
  type Fluid,
  isOfKind,
  type Position,
  type Problem,
  type SiteMap,
} from '../site-map/index.ts';
import { cautionsFor, fluidAdvice, type PosedSpill, poseSpill, type SpillQuestion } from '../spill/index.ts';
import {
  type Containment,
  cheapestContainment,
  containmentWith,
  eachAlone,
  type SpillNetwork,
  spillNetwork,
} from './containment.ts';
import { controlsWithout } from './costs.ts';
import type { Placed } from './crew.ts';
import { cheapestPlan } from './plan.ts';
import { DEFAULT_MARGIN_MINUTES, type Timing, timingOf } from './timing.ts';

/** A spill, and who can do something about it. */
export interface BlockQuestion extends SpillQuestion {
  /** Where the crew sets out; left out, the map's crew posts; none of those either: time is not counted. */
  crew?: Position;
  /** Minutes that a control must be in place before the oil; left out, 2. */
  marginMinutes?: number;
}

/** One control of a plan. */
export interface PlannedControl {
  /** The structure, or for a berm the zone. */
  at: string;
  control: Control;
  /** In the site's currency. */
  cost: number;
  /** Minutes from now until oil can be there, 0 where it can be already; null where it never gets there that way. */
  oilMinutes: number | null;
  /** Minutes until the crew has it in place, placing the plan's controls in their order; null while time is not counted. */
  crewMinutes: number | null;
  /** The kit it is fetched from on the way; null where it is in hand, or kits are not on the map. */
  kit: string | null;
}

/** Controls to place, and what is left to clean. Costs are in the site's currency. */
export interface BlockPlan {
  /** In the order in which one crew places them. */
  controls: PlannedControl[];
  controlCost: number;
  cleanupCost: number;
  totalCost: number;
  /** Structures and links that oil gets into all the same. */
  fouled: string[];
  /** Outfalls and public structures among them. */
  waters: string[];
  /** 0: proved to be the cheapest that can be carried out; else by how much of its weight it may be over that. */
  gap: number;
}

/** What one control does when it is the only one. Costs are in the site's currency. */
export interface SingleControl {
  at: string;
  control: Control;
  cost: number;
  /** The control and the clean-up of what it leaves. */
  totalCost: number;
  /** What it saves against doing nothing; below 0 where it costs more than it saves. */
  saves: number;
  oilMinutes: number | null;
  crewMinutes: number | null;
  /** Minutes to spare before oil is there, the margin taken off; below 0 where it is too late; null while time is not counted. */
  spareMinutes: number | null;
  /** Whether a kit has one, as far as kits are on the map. */
  inStock: boolean;
  /**
   * Whether one crew with nothing else to do has it in place with the margin to spare; true while time is not counted.
   */
  inTime: boolean;
  /** Outfalls and public structures that oil gets to all the same. */
  waters: string[];
}

/** What `block` answers. */
export interface BlockAnswer {
  /** The zone whose ground the spill is on; null outside every zone. */
  zone: string | null;
  /** The structures it drains into first; empty when nothing drains from there. */
  inlets: string[];
  /** The fluid: as asked, else the zone's only one; null where it is not known. */
  fluid: Fluid | null;
  plan: BlockPlan;
  /** The next best plan when the first control of the plan could not be placed before the oil; null without one. */
  ifMissed: BlockPlan | null;
  /** There are controls that would have paid, but none can be in place before the oil. */
  isTooLate: boolean;
  /**
   * Where to go all the same when it is too late: of the controls that keep most water clean, the one that is least late,
   * for oil comes no sooner than said and what comes later is held. Null where the plan has controls, or none can be had.
   */
  evenLate: SingleControl | null;
  /** Whether a crew's minutes are counted, and how many of each control the kits hold. */
  isTimed: boolean;
  marginMinutes: number;
  doNothingCost: number;
  /** Outfalls and public structures that oil gets to if nothing is done. */
  doNothingWaters: string[];
  /** Every control alone, cheapest total first. */
  singles: SingleControl[];
  /** What the fluid calls for, ahead of the plan. */
  advice: Told[];
  /** The usual cautions, for this fluid. */
  cautions: Told[];
  /** What to see to when carrying the plan out. */
  whilePlacing: Told[];
}

/** The answer; null, with the problem that says why, where the zone asked about is not on the map. */
export interface BlockReply {
  answer: BlockAnswer | null;
  problems: Problem[];
}

/**
 * Where to block a spill, cheapest first: the controls of least total cost (controls and clean-up of everything fouled)
 * that one crew can have in place before the oil with what the kits hold, what doing nothing costs, and every single
 * control with its own total. Costs go by reach alone: litres change the flow and so the times, not the prices.
 * O(edges), and a minimum cut for every set of controls that cannot be placed together.
 *
 * The plan is exact (see `plan.gap`) for the map and its prices; most prices and minutes of setting up are guesses
 * within a factor of three where the map states none, so a plan that is cheaper by little is not known to be better. It
 * is no guide for gasoline, for which no control is planned.
 *
 * @example
 * import { findBlocks } from 'oilshed/block';
 * import { compileDrainage } from 'oilshed/drainage';
 * import { readSiteMap } from 'oilshed/site-map';
 * const lid = (id: string, kind: string, x: number) => ({ type: 'Feature', id, properties: { kind }, geometry: { type: 'Point', coordinates: [x, 40] } });
 * const line = { type: 'LineString', coordinates: [[-105, 40], [-104.999, 40]] };
 * const pipe = { type: 'Feature', id: 'P-1', properties: { kind: 'pipe', from: 'CB-1', to: 'OUT-1' }, geometry: line };
 * const ring = [[-105.001, 40], [-105, 40], [-105, 40.001], [-105.001, 40]];
 * const zone = { type: 'Feature', id: 'Z-1', properties: { kind: 'zone', activity: 'parking', drainsTo: 'CB-1' }, geometry: { type: 'Polygon', coordinates: [ring] } };
 * const features = [lid('CB-1', 'catch-basin', -105), lid('OUT-1', 'outfall', -104.999), pipe, zone];
 * const { map } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site: { format: 'oilshed-site', version: 1 }, features }));
 * const { answer } = findBlocks(compileDrainage(map), { place: { zone: 'Z-1' }, litres: 100, fluid: 'diesel' });
 * answer?.plan.controls.map(({ control, at }) => `${control} ${at}`); // → ['cover CB-1']
 * answer?.plan.totalCost; // → 40
 * answer?.doNothingWaters; // → ['OUT-1']
 */
export function findBlocks(drainage: Drainage, question: BlockQuestion): BlockReply {
  const { posed, problems } = poseSpill(drainage, question);
  if (!posed) return { answer: null, problems };
  const { map } = drainage;
  const { place, crew, marginMinutes = DEFAULT_MARGIN_MINUTES } = question;
  const { zone, waysIn } = posed.start;
  const posts = crew ? [crew] : crewPosts(map);
  const inlets = waysIn.map(({ to }) => to);
  const spill = spillNetwork(drainage, { zone, inlets, without: controlsWithout(posed.fluid) });
  const gates = spill.choices.map(({ gate }) => gate);
  const timing = timingOf(drainage, { place, posed, posts, marginMinutes, gates });
  const nothing = containmentWith(spill, []);
  const { containment, placed, gap } = planFor(spill, timing);
  const plan = planOf(containment, placed, { timing, gap });
  const singles = singlesOf(spill, timing, { nothing, marginMinutes });
  const isTooLate = placed.length === 0 && cheapestContainment(spill).weight < nothing.weight;
  const answer: BlockAnswer = {
    zone: zone?.id ?? null,
    inlets,
    fluid: posed.fluid,
    plan,
    ifMissed: placed.length > 0 ? planAfterMissing(spill, timing, placed) : null,
    isTooLate,
    evenLate: isTooLate ? leastLate(singles) : null,
    isTimed: timing.isTimed,
    marginMinutes,
    doNothingCost: nothing.totalCost,
    doNothingWaters: nothing.waters,
    singles,
    advice: fluidAdvice(posed.fluid, zone?.properties.fluids?.map(({ fluid }) => fluid) ?? []),
    cautions: cautionsFor(posed.fluid),
    whilePlacing: coverAdvice(map, plan, posed),
  };
  return { answer, problems };
}

/** Where the map's crews set out. */
export function crewPosts({ others }: SiteMap): Position[] {
  return others.flatMap((each) => (isOfKind(each, 'crew') ? [each.geometry.coordinates] : []));
}

function planFor(spill: SpillNetwork, timing: Timing): ReturnType<typeof cheapestPlan> {
  return cheapestPlan(spill, {
    isUsable: ({ gate }) => timing.isInTime(gate),
    orderFor: timing.orderFor,
  });
}

/** What the crew can still do, standing where the plan's first control was missed; that one is out of the question. */
function planAfterMissing(spill: SpillNetwork, timing: Timing, placed: readonly Placed[]): BlockPlan {
  const [missed] = placed;
  const later = timing.afterMissing(missed, placed);
  const {
    containment,
    placed: next,
    gap,
  } = cheapestPlan(spill, {
    isUsable: ({ gate }) => gate !== missed.gate && later.isInTime(gate),
    orderFor: later.orderFor,
  });
  return planOf(containment, next, { timing: later, gap });
}

const finite = (minutes: number) => (Number.isFinite(minutes) ? minutes : null);

function planOf(
  { controlCost, cleanupCost, totalCost, fouled, waters }: Containment,
  placed: readonly Placed[],
  { timing, gap }: { timing: Timing; gap: number },
): BlockPlan {
  return {
    controls: placed.map(({ gate, minutes, kit }) => ({
      at: gate.at,
      control: gate.control,
      cost: gate.cost,
      oilMinutes: finite(Math.max(0, timing.oilMinutes(gate))),
      crewMinutes: timing.isTimed ? minutes : null,
      kit,
    })),
    controlCost,
    cleanupCost,
    totalCost,
    fouled: fouled.map(({ id }) => id),
    waters,
    gap,
  };
}

function singlesOf(
  spill: SpillNetwork,
  timing: Timing,
  { nothing, marginMinutes }: { nothing: Containment; marginMinutes: number },
): SingleControl[] {
  const alone = eachAlone(spill);
  return spill.choices
    .map(({ gate }, at): SingleControl => {
      const { cleanupCost, waters } = alone[at];
      const totalCost = gate.cost + cleanupCost;
      const [oil, crew] = [timing.oilMinutes(gate), timing.crewMinutes(gate)];
      return {
        at: gate.at,
        control: gate.control,
        cost: gate.cost,
        totalCost,
        saves: nothing.totalCost - totalCost,
        oilMinutes: finite(Math.max(0, oil)),
        crewMinutes: crew,
        spareMinutes: crew === null ? null : finite(oil - marginMinutes - crew),
        inStock: timing.isInStock(gate),
        inTime: !timing.isTimed || timing.isInTime(gate),
        waters,
      };
    })
    .sort((a, b) => a.totalCost - b.totalCost || byId(a.at, b.at) || byId(a.control, b.control));
}

/** Minutes to spare; where time is not counted, all there are. */
export const spareOf = ({ spareMinutes }: Pick<SingleControl, 'spareMinutes'>) =>
  spareMinutes ?? Number.POSITIVE_INFINITY;

/**
 * The control to go for when none is in time. Of those that pay, waters come before minutes, as in the plan: one that
 * would keep a water clean is worth a longer delay than one that would not.
 */
function leastLate(singles: readonly SingleControl[]): SingleControl | null {
  const late = singles.filter(({ spareMinutes, saves }) => spareMinutes !== null && saves > 0);
  const fewest = Math.min(...late.map(({ waters }) => waters.length));
  return late
    .filter(({ waters }) => waters.length === fewest)
    .reduce<SingleControl | null>((best, each) => (best && spareOf(best) >= spareOf(each) ? best : each), null);
}

/** A covered grate must pond, or the oil runs on over the ground; in rain it floods. */
function coverAdvice({ structures }: SiteMap, { controls }: BlockPlan, { rainMmPerH }: PosedSpill): Told[] {
  const byId = new Map(structures.map((structure) => [structure.id, structure]));
  return controls
    .filter(({ control }) => control === 'cover')
    .flatMap(({ at }) => {
      const { setting, spillsTo } = byId.get(at)?.properties ?? {};
      const next = spillsTo ?? told('block.next-inlet');
      const flood = rainMmPerH > 0 ? [told('block.will-flood', { at })] : [];
      if (setting === 'sag') return flood;
      return setting === 'on-grade'
        ? [told('block.runs-on', { at, next }), ...flood]
        : [told('block.check-ponds', { at, next }), ...flood];
    });
}
