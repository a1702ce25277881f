import { type Told, told } from '../catalogue/index.ts';

/** A word without capitals and signs, so that "cb1" and "CB-1" are one. */
export const plain = (word: string) => word.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '');

/**
 * What to do about an id that is not there: write the one that was meant, where one differs in capitals or signs alone; else
 * as `otherwise` says. O(ids).
 */
export function idRemedy(id: string, ids: Iterable<string>, otherwise: Told): Told {
  const alike = [...ids].filter((each) => plain(each) === plain(id));
  const meant = alike.find((each) => each.toLowerCase() === id.toLowerCase()) ?? alike[0];
  return meant === undefined ? otherwise : told('map.write-id-meant', { meant });
}
