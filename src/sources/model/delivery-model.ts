import { FIRST_INDEX, type FlowIndex } from '../../algorithms/index.ts';
import {
  type Drainage,
  flowIndexOf,
  holdsOf,
  itemAt,
  type UpstreamPart,
  upstreamOf,
  upstreamPart,
} from '../../drainage/index.ts';
import type { Structure } from '../../site-map/index.ts';
import type { Evidence } from '../question/evidence.ts';

/**
 * A default `holds` may be off by this factor on its odds, two times in three. A guess. On the odds, and not on `holds`
 * itself, because these stay between 0 and 1 however far they stray, and 0.9 is as unsure on its side as 0.1 on the other.
 */
const LOG_HOLDS_ODDS_FACTOR = Math.log(3);

/** Delivery by finding and source, rain included, and what each finding's own structure holds. */
export interface Delivery {
  /**
   * By finding, then by source, 0 to 1: what of a litre released there enters the place of the finding, before what the place
   * itself holds. 0 where no way leads there, or all of it is held; an unmapped source is 1 at its own structure and 0 elsewhere.
   */
  delivered: Float64Array[];
  /** By finding, 0 to 1: what of the oil that enters stays to be found. 1 on a zone's ground and for the whole yard. */
  holds: Float64Array;
}

/**
 * Delivery to every finding, as the guessed `holds` stray from their defaults. A stray is the standard normal number z behind
 * one guess: the odds holds ÷ (1 − holds) are those of the default times 3^z, so that z = 0 gives the default.
 */
export interface DeliveryModel {
  /** How many structures upstream of the findings have a guessed `holds`. */
  guessed: number;
  /** Delivery at these strays, `guessed` of them, in arrays of its own. */
  at(strays: Float64Array): Delivery;
  /** The same, into what `at` gave before, so that nothing is made. O(ways upstream of the findings). */
  into(strays: Float64Array, delivery: Delivery): void;
}

/** A `holds` that the map does not state, strictly between 0 and 1. */
const isGuessed = (structure: Structure) => {
  const holds = holdsOf(structure);
  return structure.properties.holds === undefined && holds > 0 && holds < 1;
};

/**
 * Everything upstream of one structure with a guessed `holds` in it, reduced to its guesses. A way leads from a place to
 * the first guess on it or, number `guesses.length`, to the structure itself; what comes there by it never changes.
 *
 * It is the same as delivery over all edges, since a drop that arrives is let through by every guess on its way: cutting
 * each way at its guesses splits its chance into parts that do not depend on any guess, with one factor 1 − holds between two
 * parts. The engines ask for delivery thousands of times, and there are far fewer guesses than edges.
 */
interface Reach {
  part: UpstreamPart;
  /** Findings at the structure. */
  findings: number[];
  /** Guessed structures in the part, in flow order, by number, and their places. */
  guesses: Int32Array;
  guessPlaces: readonly FlowIndex[];
  /** Sources whose zone is in the part, and their places there. */
  sources: Int32Array;
  places: Int32Array;
  /** Ways on from each guess, before what it holds itself, and ways from each source. */
  onward: Ways;
  ways: Ways;
  /** A way leads back from a guess to one above it: then every pass is over the whole part. */
  isLooped: boolean;
  /** What of a litre that enters at each guess arrives; 1 for the structure itself. */
  arrives: Float64Array;
}

/** Ways of item i are starts[i] to starts[i + 1] − 1: where each leads and what of a litre takes it. */
interface Ways {
  starts: Int32Array;
  to: Int32Array;
  part: Float64Array;
}

function layWays(rows: readonly (readonly number[])[]): Ways {
  const starts = new Int32Array(rows.length + 1);
  const [to, part]: [number[], number[]] = [[], []];
  rows.forEach((row, item) => {
    row.forEach((share, end) => {
      if (share === 0) return;
      to.push(end);
      part.push(share);
    });
    starts[item + 1] = to.length;
  });
  return { starts, to: Int32Array.from(to), part: Float64Array.from(part) };
}

type Places = Pick<Reach, 'part' | 'guessPlaces' | 'places'>;

/**
 * Ways to the guesses and to the structure: one pass for each, all guesses holding everything. O(guesses × edges).
 *
 * While every guess holds everything, a drop gets to a place only by ways on which no guess lies before it. So the delivery of
 * such a pass is the chance of coming to that guess *first*, and the ways of different guesses exclude each other and may be
 * added. Loops of known structures are solved within these passes and need no further care.
 */
function reduce({ part, guessPlaces, places }: Places): Pick<Reach, 'onward' | 'ways' | 'isLooped'> {
  const { order, share, target } = part;
  const holds = part.holds.slice();
  for (const index of guessPlaces) holds[index] = 1;
  // The structure itself may be guessed: to enter it is to arrive.
  const ends = guessPlaces.map((index) => (index === target ? null : index));
  const passes = [...ends, target].map((end) =>
    end === null ? null : upstreamOf({ order, share, holds }, end).delivered,
  );
  const onwardFrom = (place: number, entered: Float64Array | null) => {
    let sum = 0;
    for (let edge = order.rows[place]; edge < order.rows[place + 1]; edge++) {
      sum += share[edge] * (entered?.[order.targets[edge]] ?? 0);
    }
    return sum;
  };
  const onward = layWays(guessPlaces.map((index) => passes.map((entered) => onwardFrom(index, entered))));
  const ways = layWays([...places].map((place) => passes.map((entered) => entered?.[place] ?? 0)));
  const isLooped = guessPlaces.some((_, guess) =>
    onward.to.subarray(onward.starts[guess], onward.starts[guess + 1]).some((to) => to <= guess),
  );
  return { onward, ways, isLooped };
}

/**
 * What of a litre arrives from each of the reach's sources, into `row`. O(ways), or O(edges of the part) with a loop.
 *
 * Without a loop every way leads from a guess to a later one in flow order or to the structure, so one pass from
 * the last guess to the first has all it needs. With a loop through a guess the numbers depend on each other, and the pass
 * over the whole part, which solves loops, is made anew.
 */
function deliver(reach: Reach, values: Float64Array, { row, rain }: { row: Float64Array; rain: Float64Array }): void {
  const { guesses, sources, ways, arrives, part } = reach;
  if (reach.isLooped) {
    guesses.forEach((guess, at) => {
      part.holds[reach.guessPlaces[at]] = values[guess];
    });
    const { delivered } = upstreamOf(part, part.target);
    sources.forEach((source, at) => {
      row[source] = delivered[reach.places[at]] * rain[source];
    });
    return;
  }
  for (let at = guesses.length - 1; at >= 0; at--)
    arrives[at] = (1 - values[guesses[at]]) * along(reach.onward, at, arrives);
  for (let at = 0; at < sources.length; at++) row[sources[at]] = along(ways, at, arrives) * rain[sources[at]];
}

/** What of a litre that sets out along the ways of an item arrives in the end. */
function along({ starts, to, part }: Ways, item: number, arrives: Float64Array): number {
  let sum = 0;
  for (let way = starts[item]; way < starts[item + 1]; way++) sum += part[way] * arrives[to[way]];
  return sum;
}

/**
 * Prepares delivery for an engine. O(findings × guesses × edges) now; each time it is asked O(sources + ways between
 * guesses), or O(edges upstream) where guesses lie in a loop.
 *
 * Findings at one structure share the work. Findings on a zone's ground or of the whole yard never change with `holds`, and
 * keep the delivery of the evidence. A structure is guessed once, however many findings lie below it: what it lets
 * through to one of them it lets through to all, which is what makes findings along one pipe speak of each other.
 *
 * Not to be trusted: that the errors of two structures of a kind are independent. Where a kind is thought to hold too much, it
 * is so in the whole yard, and that is not modelled. A `holds` that the map states counts as exact.
 */
export function deliveryModel(drainage: Drainage, { findings, sources, delivered, rained }: Evidence): DeliveryModel {
  const { map } = drainage;
  const structures = new Map(map.structures.map((structure) => [structure.id, structure]));
  const guessed: Structure[] = [];
  const reaches = new Map<string, Reach>();
  findings.forEach(({ at }, finding) => {
    if (at === null || !structures.has(at)) return;
    const known = reaches.get(at);
    if (known) {
      known.findings.push(finding);
      return;
    }
    const part = upstreamPart(drainage, flowIndexOf(drainage, at));
    const inPart = new Map(Array.from(part.wholePlace, (whole, place) => [whole, place]));
    const indexOf = (id: string) => inPart.get(flowIndexOf(drainage, id)) ?? -1;
    const guesses: number[] = [];
    const guessPlaces: FlowIndex[] = [];
    for (let index = FIRST_INDEX; index < part.order.nodeCount; index++) {
      const item = itemAt(drainage, part.wholePlace[index]);
      if (!('kind' in item) || !isGuessed(item)) continue;
      if (!guessed.includes(item)) guessed.push(item);
      guesses.push(guessed.indexOf(item));
      guessPlaces.push(index);
    }
    const places = sources.map(({ zone }) => (zone ? indexOf(zone.id) : -1));
    const within = Int32Array.from(sources.keys()).filter((source) => places[source] >= 0);
    const index = {
      part,
      guessPlaces,
      places: Int32Array.from(within, (source) => places[source]),
    };
    const arrives = new Float64Array(guesses.length + 1);
    arrives[guesses.length] = 1;
    reaches.set(at, {
      ...index,
      ...reduce(index),
      findings: [finding],
      guesses: Int32Array.from(guesses),
      sources: within,
      arrives,
    });
  });
  const moving = [...reaches.values()].filter(({ guesses }) => guesses.length > 0);
  const odds = Float64Array.from(guessed, (structure) => holdsOf(structure) / (1 - holdsOf(structure)));
  const values = new Float64Array(guessed.length);
  const held = findings.map(({ at }) => (at === null ? undefined : structures.get(at)));
  const guessAt = Int32Array.from(held, (structure) => (structure ? guessed.indexOf(structure) : -1));
  const known = Float64Array.from(held, (structure) => (structure ? holdsOf(structure) : 1));

  const into = (strays: Float64Array, delivery: Delivery) => {
    for (let guess = 0; guess < values.length; guess++) {
      const each = odds[guess] * Math.exp(LOG_HOLDS_ODDS_FACTOR * strays[guess]);
      values[guess] = each / (1 + each);
    }
    for (const reach of moving) {
      for (const finding of reach.findings)
        deliver(reach, values, { row: delivery.delivered[finding], rain: rained[finding] });
    }
    for (let finding = 0; finding < guessAt.length; finding++) {
      if (guessAt[finding] >= 0) delivery.holds[finding] = values[guessAt[finding]];
    }
  };
  return {
    guessed: guessed.length,
    at(strays) {
      const delivery = { delivered: delivered.map((row) => row.slice()), holds: known.slice() };
      into(strays, delivery);
      return delivery;
    },
    into,
  };
}
