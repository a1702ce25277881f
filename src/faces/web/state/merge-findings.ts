import type { FindingSource } from '../compute/protocol.ts';

const isSame = (a: FindingSource, b: FindingSource) => JSON.stringify(a) === JSON.stringify(b);

/**
 * The findings of two tabs that began with the same list: what either added or changed stays, what either took out is out,
 * and what both changed is as it is here. A finding of this tab whose id the other gave away meanwhile gets another one.
 * O(n²) in their number.
 */
export function mergedFindings(
  base: readonly FindingSource[],
  { mine, theirs }: { mine: readonly FindingSource[]; theirs: readonly FindingSource[] },
): FindingSource[] {
  const withId = (all: readonly FindingSource[], id: string) => all.find((each) => each.id === id);
  const merged = theirs.flatMap((their) => {
    const [was, my] = [withId(base, their.id), withId(mine, their.id)];
    if (!was) return [their];
    if (!my) return [];
    return [isSame(my, was) ? their : my];
  });
  for (const my of mine) {
    const [was, their] = [withId(base, my.id), withId(theirs, my.id)];
    if (their ? was || isSame(my, their) : was && isSame(my, was)) continue;
    merged.push(their ? { ...my, id: freeId([...merged, ...mine, ...theirs]) } : my);
  }
  return merged;
}

/** An id that no finding has yet. */
export function freeId(all: readonly FindingSource[]): string {
  let number = all.length + 1;
  while (all.some(({ id }) => id === `F${number}`)) number++;
  return `F${number}`;
}
