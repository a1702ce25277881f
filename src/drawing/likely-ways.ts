import type { SpillAnswer, SpillWay } from '../spill/index.ts';
import type { FlatYard } from './flat-yard.ts';

/**
 * The links that oil likely goes along, each from the minute at which it is likely at its upper end to the one at which it
 * is likely at its lower end. A link whose lower end none is likely to get to is left out. O(links).
 */
export function likelyWays(
  { arrivals, ways }: Pick<SpillAnswer, 'arrivals' | 'ways'>,
  links: FlatYard['links'],
): SpillWay[] {
  const ends = new Map(links.map(({ link }) => [link.id, link]));
  const likely = new Map(arrivals.map((each) => [each.id, each.likely]));
  return ways.flatMap((way) => {
    const link = ends.get(way.id);
    const [above, below] = [link && likely.get(link.from), link && likely.get(link.to)];
    if (below === null) return [];
    const to = Math.max(way.to, below?.first ?? way.to);
    return [{ ...way, from: Math.min(to, Math.max(way.from, above?.first ?? way.from)), to }];
  });
}
