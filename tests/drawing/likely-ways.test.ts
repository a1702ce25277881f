import { expect, test } from 'vitest';
import { drawFlat } from '../../src/drawing/index.ts';
import { likelyWays } from '../../src/drawing/likely-ways.ts';
import { yardMap } from '../support/yard.ts';

const { links } = drawFlat(
  yardMap({
    zones: { Z: { drainsTo: 'CB' } },
    structures: { CB: { kind: 'catch-basin' }, MH: { kind: 'manhole' }, OUT: { kind: 'outfall' } },
    links: { P1: { from: 'CB', to: 'MH' }, P2: { from: 'MH', to: 'OUT' } },
  }),
);
const likely = (first: number) => ({ first, half: first + 1, last: first + 2 });
const way = (id: string, from: number, to: number) => ({ id, from, to, isSurcharged: false });

test('oil is drawn along a link from when it is likely above to when it is likely below, never before it can be there', () => {
  const arrivals = [
    { id: 'CB', minutes: 1, litres: 5, likely: likely(4) },
    { id: 'MH', minutes: 2, litres: 5, likely: likely(9) },
    { id: 'OUT', minutes: 3, litres: 5, likely: likely(1) },
  ];
  const ways = [way('P1', 1, 2), way('P2', 2, 3)];
  expect(likelyWays({ arrivals, ways }, links)).toEqual([way('P1', 4, 9), way('P2', 3, 3)]);
});

test('where none is likely to get to no oil is drawn', () => {
  const arrivals = [
    { id: 'CB', minutes: 1, litres: 5, likely: likely(4) },
    { id: 'MH', minutes: 2, litres: 0, likely: null },
  ];
  expect(likelyWays({ arrivals, ways: [way('P1', 1, 2)] }, links)).toEqual([]);
});
