import { describe, expect, test } from 'vitest';
import { cleanUpOf } from '../../src/block/index.ts';
import type { Site } from '../../src/site-map/index.ts';
import { yardMap } from '../support/yard.ts';

/** CB-1 to MH-1 by 100 m of pipe, then 50 m of swale to a drain or a brook; a sewer and the edge of the map stand apart. */
const map = (costs: Site['costs'] = {}, ends: { drain?: object; brook?: object } = {}) =>
  yardMap({
    site: { costs },
    zones: {},
    structures: {
      'CB-1': { kind: 'catch-basin' },
      'MH-1': { kind: 'manhole', cleanupCost: 900 },
      'OUT-1': { kind: 'outfall', receives: 'public storm drain', ...ends.drain },
      'OUT-2': { kind: 'outfall', ...ends.brook },
      'SAN-1': { kind: 'sanitary' },
      'EDGE-1': { kind: 'edge' },
    },
    links: {
      P1: { from: 'CB-1', to: 'MH-1', lengthM: 100 },
      S1: { from: 'MH-1', to: 'OUT-1', kind: 'swale', lengthM: 50 },
      O1: { from: 'CB-1', to: 'OUT-2', kind: 'overland', lengthM: 30 },
    },
  });
type Yard = ReturnType<typeof map>;
const clean = (yard: Yard, litres: Record<string, number>) =>
  cleanUpOf(
    yard,
    [...yard.structures, ...yard.links].flatMap((item) =>
      item.id in litres ? [{ item, litres: litres[item.id] }] : [],
    ),
  );

describe('what a clean-up costs', () => {
  test('is nothing where nothing is fouled, and a film over 30 m of ground or 0.05 L in a basin is nothing', () => {
    expect(clean(map(), {})).toEqual({ cost: 0, low: 0, high: 0 });
    expect(clean(map(), { O1: 40, 'CB-1': 0.05 })).toEqual({ cost: 0, low: 0, high: 0 });
    expect(clean(map(), { 'CB-1': 0.051 }).cost).toBe(350 + 1200);
  });

  test('has the call-out once, however many places are fouled, and none where the map states every price', () => {
    expect(clean(map(), { 'CB-1': 10, P1: 9, S1: 8 }).cost).toBe(350 + 100 * 12 + 50 * 12 + 1200);
    const stated = map({ pipePerM: 20, cleanup: { 'catch-basin': 500 } });
    expect(clean(stated, { 'CB-1': 10, P1: 9, 'MH-1': 9 })).toEqual({ cost: 3400, low: 3400, high: 3400 });
    expect(clean(map({ callOut: 0 }), { 'CB-1': 10 }).cost).toBe(350);
  });

  test('a stated clean-up is the whole cost of that structure, whatever comes', () => {
    expect(clean(map(), { 'MH-1': 5 })).toEqual({ cost: 900, low: 900, high: 900 });
    const yard = map({}, { brook: { cleanupCost: 7000 } });
    expect(clean(yard, { 'OUT-2': 5 })).toEqual(clean(yard, { 'OUT-2': 500 }));
    expect(clean(yard, { 'OUT-2': 5 }).cost).toBe(7000);
  });

  test('grows with the litres that leave: a stream by more than a drain, a sewer and the end of the map as a drain', () => {
    const more = (id: string) => clean(map(), { [id]: 110 }).cost - clean(map(), { [id]: 10 }).cost;
    expect(more('OUT-2')).toBe(100 * 25);
    expect(['OUT-1', 'SAN-1', 'EDGE-1'].map(more)).toEqual([1000, 1000, 1000]);
    expect(more('CB-1')).toBe(0);
  });

  test('a litre costs nothing only where the map says so', () => {
    const free = map({ perLitre: { stream: 0 } });
    expect(clean(free, { 'OUT-2': 900 }).cost).toBe(clean(free, { 'OUT-2': 1 }).cost);
    expect(clean(free, { 'OUT-1': 900 }).cost).toBeGreaterThan(clean(free, { 'OUT-1': 1 }).cost);
  });

  test('its range is ×/÷ 3 on what is guessed and exact on what the map states', () => {
    const half = map({ callOut: 300, perLitre: { publicDrain: 2 } });
    expect(clean(half, { 'OUT-1': 100 })).toEqual({ cost: 15_500, low: 5500, high: 45_500 });
  });
});
