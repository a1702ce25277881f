import type { Drainage } from '../drainage/index.ts';
import {
  byId,
  contains,
  type Fluid,
  INLET_KINDS,
  metreFrame,
  NEAREST_INLET_M,
  type Point,
  type Position,
  type Problem,
  polygonsOf,
  problem,
  type Structure,
  show,
  type Zone,
} from '../site-map/index.ts';
import { cautionsFor, controlsWithout, fluidAdvice } from './advice.ts';
import { type Containment, cheapestContainment, containmentWith, type Gate, spillNetwork } from './containment.ts';

/** A spill: on a zone's ground, or at a point of the map. */
export type SpillPlace = { zone: string } | { point: Position };

export interface BlockQuestion {
  place: SpillPlace;
  /** Litres spilled, above 0. */
  litres: number;
  fluid?: Fluid;
}

export interface PlannedControl {
  at: string;
  control: Gate['control'];
  cost: number;
  /** Minutes until oil is there, and until a crew can have it in place; null while time is not counted. */
  oilMinutes: number | null;
  crewMinutes: number | null;
}

export interface BlockPlan {
  controls: PlannedControl[];
  controlCost: number;
  cleanupCost: number;
  totalCost: number;
  /** Structures and links that oil gets into all the same. */
  fouled: string[];
  /** Outfalls and public structures among them. */
  waters: string[];
}

export interface SingleControl {
  at: string;
  control: Gate['control'];
  cost: number;
  totalCost: number;
  inTime: boolean;
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
  doNothingCost: number;
  /** Outfalls and public structures that oil gets to if nothing is done. */
  doNothingWaters: string[];
  /** Every control alone, cheapest total first. */
  singles: SingleControl[];
  /** What the fluid calls for, ahead of the plan. */
  advice: string[];
  /** The usual cautions, for this fluid. */
  cautions: string[];
  /** What to see to when carrying the plan out. */
  whilePlacing: string[];
}

export interface BlockReply {
  answer: BlockAnswer | null;
  problems: Problem[];
}

/**
 * Where to block a spill, cheapest first: the controls of least total cost (controls and clean-up of everything
 * fouled), what doing nothing costs, and every single control with its own total. Time is not counted yet, so every
 * control counts as placed before the oil. Goes by reach alone: litres change nothing here.
 * O(reached places × controls).
 */
export function findBlocks(drainage: Drainage, { place, fluid }: BlockQuestion): BlockReply {
  const { start, problems } = startOf(drainage, place);
  if (!start) return { answer: null, problems };
  const { zone, inlets } = start;
  const spilled = fluid ?? onlyFluid(zone);
  const spill = spillNetwork(drainage, { zone, inlets, without: controlsWithout(spilled) });
  const nothing = containmentWith(spill, []);
  const plan = cheapestContainment(spill);
  const singles = spill.choices
    .map((choice): SingleControl => {
      const { waters, totalCost } = containmentWith(spill, [choice]);
      const { at, control, cost } = choice.gate;
      return { at, control, cost, totalCost, inTime: true, waters };
    })
    .sort((a, b) => a.totalCost - b.totalCost || byId(a.at, b.at) || byId(a.control, b.control));
  const answer: BlockAnswer = {
    zone: zone?.id ?? null,
    inlets: [...inlets],
    plan: planOf(plan),
    doNothingCost: nothing.totalCost,
    doNothingWaters: nothing.waters,
    singles,
    fluid: spilled ?? null,
    advice: fluidAdvice(spilled, zone?.properties.fluids?.map((each) => each.fluid) ?? []),
    cautions: cautionsFor(spilled ?? null),
    whilePlacing: coverAdvice(drainage, plan),
  };
  return { answer, problems };
}

function planOf({ controls, controlCost, cleanupCost, totalCost, fouled, waters }: Containment): BlockPlan {
  return {
    controls: controls.map(({ at, control, cost }) => ({ at, control, cost, oilMinutes: null, crewMinutes: null })),
    controlCost,
    cleanupCost,
    totalCost,
    fouled: fouled.map(({ id }) => id),
    waters,
  };
}

/** The fluid of a zone that lists just one. */
function onlyFluid(zone: Zone | null): Fluid | undefined {
  const fluids = zone?.properties.fluids ?? [];
  return fluids.length === 1 ? fluids[0].fluid : undefined;
}

/** A covered grate must pond, or the oil runs on over the ground (contract §5). */
function coverAdvice({ map }: Drainage, { controls }: Containment): string[] {
  const structures = new Map(map.structures.map((structure) => [structure.id, structure]));
  return controls
    .filter(({ control }) => control === 'cover')
    .flatMap(({ at }) => {
      const { setting, spillsTo } = structures.get(at)?.properties ?? {};
      if (setting === 'sag') return [];
      const next = spillsTo ?? 'the next inlet downhill';
      return setting === 'on-grade'
        ? [`${at} is on a grade: covered, it lets the oil run on to ${next}. Be there too.`]
        : [`Covering ${at}: check that it ponds here, else it runs on to ${next}.`];
    });
}

interface Start {
  zone: Zone | null;
  inlets: string[];
}

function startOf({ map }: Drainage, place: SpillPlace): { start: Start | null; problems: Problem[] } {
  if ('zone' in place) {
    const zone = map.zones.find(({ id }) => id === place.zone);
    if (zone) return { start: startIn(zone), problems: [] };
    const message = `no zone has the id ${show(place.zone)}`;
    const cure = `name a zone of the map, such as ${map.zones
      .slice(0, 3)
      .map(({ id }) => id)
      .join(', ')}`;
    return {
      start: null,
      problems: [
        problem(
          'unknown-id',
          { id: place.zone, field: '--zone' },
          { message, found: show(place.zone), allowed: 'the id of a zone', cure },
        ),
      ],
    };
  }
  const frame = metreFrame(place.point);
  const here: Point = [0, 0];
  const shape = (zone: Zone) =>
    polygonsOf(zone.geometry).map((rings) => rings.map((ring) => ring.map((at): Point => frame.toMetres(at))));
  const zone = map.zones.find((each) => contains(shape(each), here));
  if (zone) return { start: startIn(zone), problems: [] };
  return nearestInlet(map.structures, ({ position }) => Math.hypot(...frame.toMetres(position)));
}

const startIn = (zone: Zone): Start => ({ zone, inlets: zone.inlets.map(({ to }) => to) });

/** The inlet nearest to a point outside every zone; none within 40 m means that nothing drains from there. */
function nearestInlet(
  structures: readonly Structure[],
  distance: (structure: Structure) => number,
): ReturnType<typeof startOf> {
  const near = structures
    .filter(({ kind }) => INLET_KINDS.includes(kind))
    .map((structure) => ({ id: structure.id, metres: distance(structure) }))
    .sort((a, b) => a.metres - b.metres || byId(a.id, b.id))[0];
  const place = { id: null, field: '--point' };
  if (!near || near.metres > NEAREST_INLET_M) {
    const message = `the point lies in no zone and no inlet is within ${NEAREST_INLET_M} m: nothing drains from here`;
    return {
      start: { zone: null, inlets: [] },
      problems: [
        problem('no-inlet', place, { message, cure: 'keep the oil where it is; draw the zone if there should be one' }),
      ],
    };
  }
  const message = `the point lies in no zone, so ${near.id}, ${near.metres.toFixed(0)} m away, is taken`;
  return {
    start: { zone: null, inlets: [near.id] },
    problems: [problem('inlet-guessed', place, { message, cure: 'name the zone, or draw it' })],
  };
}
