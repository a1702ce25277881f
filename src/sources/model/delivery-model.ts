import { FIRST_PLACE, type Place } from '../../algorithms/index.ts';
import {
  type Drainage,
  holdsOf,
  itemAt,
  placeAt,
  type UpstreamPart,
  upstreamOf,
  upstreamPart,
} from '../../drainage/index.ts';
import type { Structure } from '../../site-map/index.ts';
import type { Evidence } from '../question/evidence.ts';

/** A default `holds` may be off by this factor on its odds, two times in three. A guess. */
const LOG_HOLDS_ODDS_FACTOR = Math.log(3);

/** Delivery by finding and source, rain included, and what each finding's own structure holds. */
export interface Delivery {
  delivered: Float64Array[];
  holds: Float64Array;
}

/** Delivery to every finding, as the guessed `holds` stray from their defaults. */
export interface DeliveryModel {
  /** How many structures upstream of the findings have a guessed `holds`. */
  guessed: number;
  /** Delivery at strays that are standard normal. */
  at(strays: Float64Array): Delivery;
  /** The same, into what `at` gave before. O(ways upstream of the findings). */
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
 */
interface Reach {
  part: UpstreamPart;
  /** Findings at the structure. */
  findings: number[];
  /** Guessed structures in the part, in flow order, by number, and their places. */
  guesses: Int32Array;
  guessPlaces: readonly Place[];
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

/** Ways to the guesses and to the structure: one pass for each, all guesses holding everything. O(guesses × edges). */
function reduce({ part, guessPlaces, places }: Places): Pick<Reach, 'onward' | 'ways' | 'isLooped'> {
  const { order, share, target } = part;
  const holds = part.holds.slice();
  for (const place of guessPlaces) holds[place] = 1;
  // The structure itself may be guessed: to enter it is to arrive.
  const ends = guessPlaces.map((place) => (place === target ? null : place));
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
  const onward = layWays(guessPlaces.map((place) => passes.map((entered) => onwardFrom(place, entered))));
  const ways = layWays([...places].map((place) => passes.map((entered) => entered?.[place] ?? 0)));
  const isLooped = guessPlaces.some((_, guess) =>
    onward.to.subarray(onward.starts[guess], onward.starts[guess + 1]).some((to) => to <= guess),
  );
  return { onward, ways, isLooped };
}

/** What of a litre arrives from each of the reach's sources, into `row`. O(ways), or O(edges of the part) with a loop. */
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

function along({ starts, to, part }: Ways, item: number, arrives: Float64Array): number {
  let sum = 0;
  for (let way = starts[item]; way < starts[item + 1]; way++) sum += part[way] * arrives[to[way]];
  return sum;
}

/**
 * Prepares delivery for an engine. O(findings × guesses × edges) now; each time it is asked O(sources + ways between
 * guesses), or O(edges upstream) where guesses lie in a loop.
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
    const part = upstreamPart(drainage, placeAt(drainage, at));
    const inPart = new Map(Array.from(part.wholePlace, (whole, place) => [whole, place]));
    const placeOf = (id: string) => inPart.get(placeAt(drainage, id)) ?? -1;
    const guesses: number[] = [];
    const guessPlaces: Place[] = [];
    for (let place = FIRST_PLACE; place < part.order.nodeCount; place++) {
      const item = itemAt(drainage, part.wholePlace[place]);
      if (!('kind' in item) || !isGuessed(item)) continue;
      if (!guessed.includes(item)) guessed.push(item);
      guesses.push(guessed.indexOf(item));
      guessPlaces.push(place);
    }
    const places = sources.map(({ zone }) => (zone ? placeOf(zone.id) : -1));
    const within = Int32Array.from(sources.keys()).filter((source) => places[source] >= 0);
    const place = {
      part,
      guessPlaces,
      places: Int32Array.from(within, (source) => places[source]),
    };
    const arrives = new Float64Array(guesses.length + 1);
    arrives[guesses.length] = 1;
    reaches.set(at, {
      ...place,
      ...reduce(place),
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
