import { expect, test } from 'vitest';
import { nearestRest, nextRest } from '../../../src/faces/web/app/sheet.tsx';

test('a sheet let go anywhere comes to rest at the nearest height', () => {
  expect([0.1, 0.44, 0.46, 0.75, 0.77, 1].map(nearestRest)).toEqual([0.3, 0.3, 0.6, 0.6, 0.92, 0.92]);
});

test('pressing the handle goes up one height, and from the highest to the lowest', () => {
  expect([0.3, 0.6, 0.92].map(nextRest)).toEqual([0.6, 0.92, 0.3]);
});
