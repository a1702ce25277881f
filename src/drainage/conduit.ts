import type { Link, SiteMap } from '../site-map/index.ts';
import type { Conduit, Section } from './manning.ts';

/** What a pipe is taken for where the map states nothing: guesses from common practice. */
const DEFAULT_DIAMETER_MM = 300;
const DEFAULT_SLOPE = 0.01;
const LEAST_SLOPE = 0.001;
const PIPE_ROUGHNESS = 0.013;
/** A swale with short grass, 0.6 m of flat bed and sides of 3 : 1: guesses, from memory of common practice. */
const SWALE_ROUGHNESS = 0.03;
const DEFAULT_BED_M = 0.6;
const DEFAULT_SIDE_SLOPE = 3;

/** What was not stated and had to be taken, or was stated as no water runs (flat or uphill). */
export type Taken = 'diameter' | 'slope' | 'flat';

export interface LinkConduit extends Conduit {
  taken: Taken[];
}

/**
 * Fall ÷ length of a link: as stated, else from inverts (its own, else those of its ends, in metres), else 0.01; never
 * under 0.001. `taken` tells which it is: 'slope' where nothing was known, 'flat' where it was lifted to 0.001, since
 * Manning's formula has no flow without a fall. A link that runs uphill on the map, a lift or a mistake, so counts as
 * nearly flat.
 */
export function linkSlope(
  { from, to, lengthM, properties }: Link,
  invertOf: (structure: string) => number | undefined,
): { slope: number; taken: Taken[] } {
  const start = properties.fromInvert ?? invertOf(from);
  const end = properties.toInvert ?? invertOf(to);
  const fall = start !== undefined && end !== undefined && lengthM > 0 ? (start - end) / lengthM : undefined;
  const slope = properties.slope ?? fall;
  if (slope === undefined) return { slope: DEFAULT_SLOPE, taken: ['slope'] };
  return slope < LEAST_SLOPE ? { slope: LEAST_SLOPE, taken: ['flat'] } : { slope, taken: [] };
}

/** Looks up the invert of a structure of a map. */
export function invertsOf({ structures }: SiteMap): (structure: string) => number | undefined {
  const inverts = new Map(structures.map(({ id, properties }) => [id, properties.invert]));
  return (structure) => inverts.get(structure);
}

/**
 * What a pipe or a swale is to its flow: the shape, fall and roughness that the map states, else the guesses above.
 * `taken` says which of diameter and fall are guesses; that roughness and the shape of a swale are, it does not. A link
 * over the ground has a fall, and the pipe that comes with it means nothing. O(1).
 */
export function conduitOf(link: Link, invertOf: (structure: string) => number | undefined): LinkConduit {
  const { slope, taken } = linkSlope(link, invertOf);
  const { diameterMm, roughness } = link.properties;
  if (link.kind === 'swale') {
    const { bedM = DEFAULT_BED_M, sideSlope = DEFAULT_SIDE_SLOPE } = link.properties;
    const section: Section = { shape: 'channel', bedM, sideSlope };
    return { section, slope, roughness: roughness ?? SWALE_ROUGHNESS, taken };
  }
  return {
    section: { shape: 'round', diameterM: (diameterMm ?? DEFAULT_DIAMETER_MM) / 1000 },
    slope,
    roughness: roughness ?? PIPE_ROUGHNESS,
    taken: diameterMm === undefined ? [...taken, 'diameter'] : taken,
  };
}
