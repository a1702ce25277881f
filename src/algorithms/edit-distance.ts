/**
 * Least number of letters put in, taken out or changed that turns one word into the other (Levenshtein 1966). O(a · b).
 *
 * @example
 * import { editDistance } from 'oilshed/algorithms';
 * editDistance('drainsTo', 'drainTo'); // → 1
 */
export function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, at) => at);
  for (let at = 1; at <= a.length; at++) {
    const next = [at];
    for (let other = 1; other <= b.length; other++) {
      const changed = row[other - 1] + (a[at - 1] === b[other - 1] ? 0 : 1);
      next.push(Math.min(changed, row[other] + 1, next[other - 1] + 1));
    }
    row = next;
  }
  return row[b.length];
}
