import { type Drainage, holdsOf, type UpstreamPart, upstreamOf, upstreamPart } from '../drainage/index.ts';
import type { Structure } from '../site-map/index.ts';
import type { Evidence } from './evidence.ts';

/** A default `holds` may be off by this factor on its odds, two times in three (contract §5). */
const HOLDS_ODDS_FACTOR = 3;

/** Delivery to every finding, as the guessed `holds` stray from their defaults. */
export interface DeliveryModel {
  /** How many structures upstream of the findings have a guessed `holds`. */
  guessed: number;
  /** Delivery by finding and source, rain included, and what the finding's own structure holds; strays are standard normal. */
  at(strays: Float64Array): { delivered: Float64Array[]; holds: Float64Array };
}

/** A `holds` that the map does not state, strictly between 0 and 1. */
const isGuessed = (structure: Structure) => {
  const holds = holdsOf(structure);
  return structure.properties.holds === undefined && holds > 0 && holds < 1;
};

/** Everything upstream of one structure with a finding, ready for many passes. */
interface Reach {
  part: UpstreamPart;
  /** Place of each source's zone in the part, -1 where it is not in it. */
  places: number[];
  /** Guessed structures in the part: which guess, and its place. */
  guesses: { guess: number; place: number }[];
}

/** Prepares delivery for a chain. O(findings × edges) now; O(edges upstream) each time it is asked. */
export function deliveryModel(drainage: Drainage, { findings, sources, delivered, rained }: Evidence): DeliveryModel {
  const { map, order, nodeOf } = drainage;
  const structures = new Map(map.structures.map((structure) => [structure.id, structure]));
  const guessed: Structure[] = [];
  const reaches = new Map<string | null, Reach>();
  for (const { at } of findings) {
    if (at === null || !structures.has(at) || reaches.has(at)) continue;
    const part = upstreamPart(drainage, order.placeOf[nodeOf.get(at) as number]);
    const inPart = new Map(Array.from(part.wholePlace, (whole, place) => [whole, place]));
    const placeOf = (id: string) => inPart.get(order.placeOf[nodeOf.get(id) as number]) ?? -1;
    const guesses: Reach['guesses'] = [];
    for (const whole of part.wholePlace) {
      const structure = map.structures[order.nodeAt[whole] - map.zones.length];
      if (!structure || !isGuessed(structure)) continue;
      if (!guessed.includes(structure)) guessed.push(structure);
      guesses.push({ guess: guessed.indexOf(structure), place: placeOf(structure.id) });
    }
    reaches.set(at, { part, places: sources.map(({ zone }) => (zone ? placeOf(zone.id) : -1)), guesses });
  }
  const nominal = guessed.map(holdsOf);

  const rowsFor = ({ part, guesses }: Reach, values: readonly number[]) => {
    const holds = part.holds.slice();
    for (const { guess, place } of guesses) holds[place] = values[guess];
    return upstreamOf({ order: part.order, share: part.share, holds }, part.target).delivered;
  };
  return {
    guessed: guessed.length,
    at(strays) {
      const values = nominal.map((holds, guess) => {
        const odds = (holds / (1 - holds)) * HOLDS_ODDS_FACTOR ** strays[guess];
        return odds / (1 + odds);
      });
      const rows = new Map(
        [...reaches].map(([at, reach]) => [at, reach.guesses.length > 0 ? rowsFor(reach, values) : null]),
      );
      return {
        delivered: findings.map(({ at }, finding) => {
          const [row, reach] = [rows.get(at), reaches.get(at)];
          if (!row || !reach) return delivered[finding];
          return delivered[finding].map((nominalDelivery, source) =>
            reach.places[source] >= 0 ? row[reach.places[source]] * rained[finding][source] : nominalDelivery,
          );
        }),
        holds: Float64Array.from(findings, ({ at }) => {
          const structure = at === null ? undefined : structures.get(at);
          if (!structure) return 1;
          const guess = guessed.indexOf(structure);
          return guess >= 0 ? values[guess] : holdsOf(structure);
        }),
      };
    },
  };
}
