import { describe, expect, test } from 'vitest';
import type { SeparatorUpkeep } from '../../src/upkeep/index.ts';
import { throughWords } from '../../src/words/upkeep.ts';

const LITRES_PER_S_PER_GPM = 3.785411784 / 60;

describe('what rises out at the design flow', () => {
  const said = (gpm: number, isDesignFlow: boolean) =>
    throughWords({ flowLps: gpm * LITRES_PER_S_PER_GPM, smallestCaughtUm: 63, isTooFast: false } as SeparatorUpkeep, {
      hasPlates: false,
      isDesignFlow,
      units: 'us',
    });

  test('is said of flows with a thousands separator as of others', () => {
    expect(said(1_030, true)).toBe('At 1,030 gal/min, its design flow, drops down to 63 µm still rise out.');
    expect(said(300, true)).toBe('At 300 gal/min, its design flow, drops down to 63 µm still rise out.');
    expect(said(1_030, false)).toBe('At 1,030 gal/min, drops down to 63 µm still rise out.');
  });
});
