import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { arrivalTimes, flowIndexOf, type Release } from '../../src/drainage/index.ts';
import { carryEvent } from '../../src/drainage/relief.ts';
import { carryWater } from '../../src/drainage/water.ts';
import { type YardWords, yard } from '../support/yard.ts';

const MANHOLE = { kind: 'manhole' };
type Links = NonNullable<YardWords['links']>;

/** What goes along each link, and what enters each structure, when so many L/s come in at A. */
function carried(links: Links, lps: number, at = 'A') {
  const ids = [...new Set(Object.values(links).flatMap(({ from, to }) => [from, to]))];
  const drainage = yard({ structures: Object.fromEntries(ids.map((id) => [id, MANHOLE])), links });
  const comesIn = new Float64Array(drainage.order.nodeCount);
  comesIn[flowIndexOf(drainage, at)] = lps;
  const { flowLps, share } = carryEvent(drainage, comesIn);
  const edgeOf = (id: string) => drainage.linkAt.findIndex((link) => link?.id === id);
  return {
    drainage,
    comesIn,
    flowLps,
    share,
    shareOf: (id: string) => share[edgeOf(id)],
    at: (id: string) => flowLps[flowIndexOf(drainage, id)],
  };
}

describe('a relief pipe', () => {
  const weir = (words: Record<string, unknown> = {}): Links => ({
    MAIN: { from: 'A', to: 'B' },
    RELIEF: { from: 'A', to: 'C', aboveLps: 10, ...words },
  });

  test('takes nothing up to its flow, and what is above it', () => {
    for (const [lps, over] of [
      [4, 0],
      [10, 0],
      [12, 2],
      [40, 30],
    ]) {
      const { at, shareOf } = carried(weir(), lps);
      expect(at('C')).toBeCloseTo(over, 12);
      expect(at('B')).toBeCloseTo(lps - over, 12);
      expect(shareOf('MAIN') + shareOf('RELIEF')).toBeCloseTo(1, 12);
    }
  });

  test('or its stated share of what is above it', () => {
    const { at } = carried(weir({ share: 0.3 }), 30);
    expect(at('C')).toBeCloseTo(0.3 * 20, 12);
    expect(at('B')).toBeCloseTo(30 - 6, 12);
    // Below, the main pipe takes all, whatever shares were stated for when both run.
    expect(carried({ ...weir({ share: 0.3 }), MAIN: { from: 'A', to: 'B', share: 0.7 } }, 8).at('B')).toBeCloseTo(
      8,
      12,
    );
  });

  test('the other ways out divide the rest as their shares say', () => {
    const { at } = carried(
      { ...weir(), MAIN: { from: 'A', to: 'B', share: 0.75 }, SIDE: { from: 'A', to: 'D', share: 0.25 } },
      18,
    );
    expect([at('B'), at('D'), at('C')].map((lps) => Math.round(lps * 1e9) / 1e9)).toEqual([7.5, 2.5, 8]);
  });

  test('where shares leave the map, that part stays the same', () => {
    const { at } = carried({ ...weir({ share: 0.2 }), MAIN: { from: 'A', to: 'B', share: 0.4 } }, 20);
    expect(at('B') + at('C')).toBeCloseTo(0.6 * 20, 12);
    expect(at('C')).toBeCloseTo(0.6 * 0.2 * 10, 12);
  });

  test('of two, the one that starts higher takes what is above it, the lower what is between', () => {
    const { at } = carried({ ...weir(), HIGH: { from: 'A', to: 'D', aboveLps: 25 } }, 32);
    expect([at('B'), at('C'), at('D')].map((lps) => Math.round(lps * 1e9) / 1e9)).toEqual([10, 15, 7]);
  });

  test('alone, or beside ways that take no water, it is a plain pipe', () => {
    expect(carried({ RELIEF: { from: 'A', to: 'C', aboveLps: 10 } }, 4).at('C')).toBe(4);
    const dry = carried({ ...weir(), MAIN: { from: 'A', to: 'B', share: 0 } }, 4);
    expect([dry.at('B'), dry.at('C')]).toEqual([0, 4]);
  });

  test('below another it opens by what the first left', () => {
    const links = { ...weir(), ON: { from: 'B', to: 'D' }, OVER: { from: 'B', to: 'E', aboveLps: 6 } };
    const { at } = carried(links, 40);
    expect([at('C'), at('D'), at('E')].map((lps) => Math.round(lps * 1e9) / 1e9)).toEqual([30, 6, 4]);
  });

  test('in a loop it opens by the flow that goes round when it is shut', () => {
    const links: Links = {
      IN: { from: 'A', to: 'B' },
      ROUND: { from: 'B', to: 'C' },
      BACK: { from: 'C', to: 'B', share: 0.5 },
      OUT: { from: 'C', to: 'D', share: 0.5 },
      RELIEF: { from: 'B', to: 'E', aboveLps: 12 },
    };
    // Shut, 8 L/s that come back by half each time are 16 at B; 4 of 16 go over.
    const { at, shareOf } = carried(links, 8);
    expect(shareOf('RELIEF')).toBeCloseTo(0.25, 6);
    expect(at('D') + at('E')).toBeCloseTo(8, 6);
    expect(carried(links, 4).at('E')).toBe(0);
    // What leaves the loop goes on.
    const on = carried({ ...links, ON: { from: 'D', to: 'F' }, OVER: { from: 'D', to: 'G', aboveLps: 1 } }, 8);
    expect(on.at('F')).toBeCloseTo(1, 9);
    expect(on.at('F') + on.at('G')).toBeCloseTo(on.at('D'), 12);
  });

  test('leaves the map’s own shares and what comes in as they are', () => {
    const { drainage, comesIn, share, flowLps } = carried(weir(), 40);
    expect([...comesIn].filter((lps) => lps > 0)).toEqual([40]);
    expect(share).not.toEqual(drainage.waterShare);
    expect(drainage.waterShare).toEqual(
      yard({ structures: { A: MANHOLE, B: MANHOLE, C: MANHOLE }, links: weir() }).waterShare,
    );
    expect(flowLps).not.toBe(comesIn);
  });
});

test('every litre leaves by one way, at any flow, and no relief pipe means the water’s own shares', () => {
  const link = fc.record({
    from: fc.nat(6),
    to: fc.nat(6),
    share: fc.option(fc.double({ min: 0, max: 1, noNaN: true }), { nil: undefined }),
    aboveLps: fc.option(fc.double({ min: 0.1, max: 20, noNaN: true }), { nil: undefined }),
  });
  fc.assert(
    fc.property(
      fc.array(link, { minLength: 1, maxLength: 14 }),
      fc.double({ min: 0, max: 60, noNaN: true }),
      (words, lps) => {
        // Downhill only: in a loop water goes round until it settles.
        const links = Object.fromEntries(
          words
            .filter(({ from, to }) => from < to)
            .map(({ from, to, ...rest }, at) => [`L${at}`, { from: `S${from}`, to: `S${to}`, ...rest }]),
        );
        const ids = [0, 1, 2, 3, 4, 5, 6].map((at) => `S${at}`);
        const drainage = yard({ structures: Object.fromEntries(ids.map((id) => [id, MANHOLE])), links });
        const comesIn = new Float64Array(drainage.order.nodeCount);
        comesIn[flowIndexOf(drainage, 'S0')] = lps;
        const { flowLps, share } = carryEvent(drainage, comesIn);
        const { rows } = drainage.order;
        for (let place = 0; place < drainage.order.nodeCount; place++) {
          const sum = (shares: Float64Array) =>
            shares.slice(rows[place], rows[place + 1]).reduce((all, each) => all + each, 0);
          expect(sum(share)).toBeCloseTo(sum(drainage.waterShare), 9);
          for (let edge = rows[place]; edge < rows[place + 1]; edge++) expect(share[edge]).toBeGreaterThanOrEqual(0);
        }
        if (words.every(({ aboveLps }) => aboveLps === undefined)) {
          expect(share).toBe(drainage.waterShare);
          expect(flowLps).toEqual(carryWater(drainage, comesIn));
        }
      },
    ),
  );
});

test('oil goes by the event’s shares: none by a relief pipe in dry weather, some of it in a downpour', () => {
  const drainage = yard({
    zones: { Z: { areaM2: 3600, runoffC: 0.5, drainsTo: 'A' } },
    structures: { A: { kind: 'catch-basin' }, B: MANHOLE, C: MANHOLE },
    links: { MAIN: { from: 'A', to: 'B' }, RELIEF: { from: 'A', to: 'C', aboveLps: 10 } },
  });
  const edge = drainage.linkAt.findIndex((link) => link?.id === 'RELIEF');
  const release: Release = { structure: 'A', minutes: 0, filmMinutes: 0, likelyMinutes: 0, keepsLitres: 0, flowLps: 2 };
  const share = (rainMmPerH: number) => arrivalTimes(drainage, [release], { rainMmPerH }).oilShare[edge];
  expect(share(0)).toBe(0);
  // 18 L/s of runoff and 2 of oil: 10 of 20.
  expect(share(36)).toBeCloseTo(0.5, 12);
  expect(arrivalTimes(drainage, [release], { rainMmPerH: 0 }).flows[edge]?.flowLps).toBe(2);
});
