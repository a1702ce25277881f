import { describe, expect, test } from 'vitest';
import type { SeparatorUpkeep } from '../../src/upkeep/index.ts';
import { throughWords } from '../../src/words/upkeep.ts';
import { US_ENGLISH } from '../support/english.ts';

const LITRES_PER_S_PER_GPM = 3.785411784 / 60;

describe('what rises out at the design flow', () => {
  const said = (gpm: number, isDesignFlow: boolean) =>
    throughWords(
      { flowLps: gpm * LITRES_PER_S_PER_GPM, smallestCaughtUm: 63, isTooFast: false } as SeparatorUpkeep,
      { hasPlates: false, isDesignFlow },
      US_ENGLISH,
    );

  test('is said of flows with a thousands separator as of others', () => {
    expect(said(1_030, true)).toBe('At 1,030 gpm, its design flow, drops down to 63 µm still rise out.');
    expect(said(300, true)).toBe('At 300 gpm, its design flow, drops down to 63 µm still rise out.');
    expect(said(1_030, false)).toBe('At 1,030 gpm, drops down to 63 µm still rise out.');
  });
});
