import { expect, test } from 'vitest';
import { backingUpOf } from '../../src/block/backing-up.ts';
import { type YardWords, yard } from '../support/yard.ts';

/** CB-1 and a pumped well with its rising main, above a valve; the pipe from CB-1 lies under the grate for all its length. */
const words = (well: object): YardWords => ({
  zones: { Z1: { drainsTo: 'CB-1', areaM2: 3600, runoffC: 1 } },
  structures: {
    'CB-1': { kind: 'catch-basin', rim: 12 },
    'LS-1': { kind: 'manhole', ...well },
    'V-1': { kind: 'valve' },
    'OUT-1': { kind: 'outfall' },
  },
  links: {
    P1: { from: 'CB-1', to: 'V-1', lengthM: 100, diameterMm: 300, fromInvert: 10, toInvert: 9 },
    P2: { from: 'LS-1', to: 'V-1', lengthM: 50, diameterMm: 100 },
    P3: { from: 'V-1', to: 'OUT-1', lengthM: 10, fromInvert: 9, toInvert: 8.9 },
  },
});

test('a rising main takes no water that backs up, and needs no levels', () => {
  const close = (well: object) => backingUpOf(yard(words(well)), [{ at: 'V-1', control: 'valve' }], 10)[0];
  // 3,600 m² at 10 mm/h shed 10 L/s into 100 m of a 300 mm pipe, 7,069 L: 11.8 minutes.
  const pumped = close({ pumped: { lps: 5 } });
  expect(pumped).toMatchObject({ at: 'V-1', floods: 'CB-1', from: 'levels' });
  expect(pumped.minutes).toBeCloseTo((100_000 * Math.PI * 0.15 ** 2) / 10 / 60, 1);
  const byGravity = close({});
  expect(byGravity.from).toBe('pipes');
  expect(byGravity.minutes).toBeGreaterThan(pumped.minutes ?? Number.NaN);
});
