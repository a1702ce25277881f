import { type Arrivals, arrivalTimes, type Drainage, flowIndexOf, structureAt } from '../drainage/index.ts';
import { type Position, type SiteMap, walkingGround } from '../site-map/index.ts';
import { type PosedSpill, releasesOf, type SpillPlace } from '../spill/index.ts';
import type { Gate } from './containment.ts';
import { type CrewStart, orderFor, type Placed, type Placing, type Walking } from './crew.ts';
import { type KitStock, kitsOf } from './kits-stock.ts';

/** Minutes that a control must be in place before the oil, where nobody says otherwise. */
export const DEFAULT_MARGIN_MINUTES = 2;

/**
 * Against what a plan has to hold: when oil is where, who can be there, and with what. All times are minutes from now.
 * Oil's are "no sooner than", so a control that is in time by them is in time; one that is late by them may still be in
 * time, since oil may run slower. A crew's rest on a guess of how fast it walks and sets things up.
 */
export interface Timing {
  /** Minutes from now until oil can be at a control; below 0 where it can have been; Infinity where it never is. */
  oilMinutes(gate: Gate): number;
  /** Whether a crew's minutes are counted at all. */
  isTimed: boolean;
  /** Whether a kit has what this takes; true where kits are not on the map. */
  isInStock(gate: Gate): boolean;
  /** Whether one crew with nothing else to do has this in place in time; false where no kit has one. */
  isInTime(gate: Gate): boolean;
  /** An order in which one crew can place these in time with what the kits hold; null where there is none. */
  orderFor(gates: readonly Gate[]): Placed[] | null;
  /** When one crew with nothing else to do has this in place, in time or not; null where time is not counted or no kit has one. */
  crewMinutes(gate: Gate): number | null;
  /** The same yard for a crew that just missed a control: it stands there, with what it has fetched, when the oil is there. */
  afterMissing(missed: Placed, order: readonly Placed[]): Timing;
}

/** What a timing is worked out from. */
export interface TimingFacts {
  /** Where the spill is: a berm at a point spill is laid there, else at the inlet that oil gets to first. */
  place: SpillPlace;
  posed: PosedSpill;
  /** Where crews set out; empty: time is not counted. */
  posts: readonly Position[];
  /** Minutes, 0 or more, that a control must be in place before the oil. */
  marginMinutes: number;
  /** The controls that will be asked about. */
  gates: readonly Gate[];
}

/**
 * Works out when oil is where, once, for every control, by the quickest way from the spill (Dijkstra 1959). Oil is
 * taken to run on past grates on a grade, as it does once they are covered, so that no time is too late for a plan that
 * covers one. A control's deadline is the oil's time less the margin; without posts there is none, and only the kits'
 * stock is counted. O(edges + places · log(places)) for the oil; a walk from each place that is first asked about.
 */
export function timingOf(drainage: Drainage, { place, posed, posts, marginMinutes, gates }: TimingFacts): Timing {
  const { map } = drainage;
  const releases = releasesOf(posed);
  const arrivals = arrivalTimes(drainage, releases, { rainMmPerH: posed.rainMmPerH, runsOn: true });
  const positionAt = (id: string) => structureAt(drainage, flowIndexOf(drainage, id)).position;
  const firstIn = releases.reduce<(typeof releases)[number] | null>(
    (first, each) => (first && first.minutes <= each.minutes ? first : each),
    null,
  );
  // Where the crew goes to lay a berm: the spill's own point, else the inlet that oil gets to first.
  const onGround = 'point' in place ? place.point : firstIn ? positionAt(firstIn.structure) : [0, 0];
  const oilMinutes = (gate: Gate) =>
    (gate.control === 'berm' ? (firstIn?.minutes ?? Number.POSITIVE_INFINITY) : minutesAt(drainage, arrivals, gate)) -
    posed.agoMinutes;
  const isTimed = posts.length > 0;
  const positionOf = ({ at, control }: Gate) => (control === 'berm' ? onGround : positionAt(at));
  const placing = (gate: Gate): Placing => ({
    gate,
    position: positionOf(gate),
    deadline: isTimed ? oilMinutes(gate) - marginMinutes : Number.POSITIVE_INFINITY,
  });
  const kits = kitsOf(map);
  const walking = isTimed
    ? walkingBetween(map, [...posts, ...kits.map(({ position }) => position), onGround, ...gates.map(positionOf)])
    : () => 0;
  const timing = (starts: readonly CrewStart[], stocks: readonly KitStock[]): Timing => {
    const facts = { starts, kits: stocks, walking };
    // When a control is in place with nothing else to do does not hang on the deadline, so one search answers both
    // "when" and "in time or not".
    const placedAlone = new Map<Gate, Placed | null>();
    const alone = (gate: Gate) => {
      const known = placedAlone.get(gate);
      if (known !== undefined) return known;
      const placed = orderFor([{ ...placing(gate), deadline: Number.POSITIVE_INFINITY }], facts)?.[0] ?? null;
      placedAlone.set(gate, placed);
      return placed;
    };
    return {
      isTimed,
      oilMinutes,
      isInStock: (gate) => alone(gate) !== null,
      isInTime: (gate) => {
        const placed = alone(gate);
        return placed !== null && placed.minutes <= placing(gate).deadline;
      },
      orderFor: (gates) => orderFor(gates.map(placing), facts),
      crewMinutes: (gate) => (isTimed ? (alone(gate)?.minutes ?? null) : null),
      afterMissing: (missed, order) => {
        // The missed control is the plan's first, so nothing has been placed. At a kit a crew takes all that its plan
        // still needs: what the plan has from that kit is in hand, and the kit holds so much less.
        const carried = order.flatMap(({ gate, kit }) =>
          kit !== null && kit === missed.kit ? [{ control: gate.control, kit }] : [],
        );
        const left = stocks.map((kit) => ({ ...kit, stock: { ...kit.stock } }));
        for (const { control, kit } of carried) for (const each of left) if (each.id === kit) each.stock[control]--;
        const { position } = placing(missed.gate);
        return timing([{ position, minutes: Math.max(0, oilMinutes(missed.gate)), carried }], left);
      },
    };
  };
  // Where time is not counted, one crew that is everywhere at once still can place no more than the kits hold.
  const starts = isTimed ? posts : [onGround];
  return timing(
    starts.map((position) => ({ position, minutes: 0, carried: [] })),
    kits,
  );
}

/**
 * A cover is too late once oil is at the grate over the surface, anything else once it is in the chamber. Oil that
 * comes by pipe is under the cover, so it does not make one late.
 */
function minutesAt(drainage: Drainage, arrivals: Arrivals, { control, at }: Gate): number {
  const index = flowIndexOf(drainage, at);
  return control === 'cover' ? arrivals.surfaceMinutes[index] : arrivals.minutes[index];
}

/**
 * Walking between any two of these places, in minutes; each row is worked out when it is first asked for. The search
 * for an order asks for the same few pairs thousands of times, and a row costs a search round all buildings.
 */
function walkingBetween(map: SiteMap, places: readonly Position[]): Walking {
  const { minutesFrom } = walkingGround(map);
  const rows = new Map<Position, Map<Position, number>>();
  return (from, to) => {
    const row = rows.get(from) ?? rowFrom(from);
    rows.set(from, row);
    return row.get(to) ?? minutesFrom(from, [to])[0];
  };

  function rowFrom(from: Position): Map<Position, number> {
    const minutes = minutesFrom(from, places);
    return new Map(places.map((place, at) => [place, minutes[at]]));
  }
}
