import { describe, expect, test } from 'vitest';
import { holdsAtFlow, holdsOf } from '../../src/drainage/index.ts';
import { yardMap } from '../support/yard.ts';

const made = (kind: string, properties: Record<string, unknown> = {}) =>
  yardMap({ structures: { S: { kind, ...properties } } }).structures[0];

describe('what stays in a structure', () => {
  test('as stated, else by its kind: what ends a way holds all, what is only passed holds nothing', () => {
    expect(holdsOf(made('manhole', { holds: 0.25 }))).toBe(0.25);
    expect(holdsOf(made('separator', { holds: 0 }))).toBe(0);
    const kinds = ['catch-basin', 'trench-drain', 'manhole', 'valve', 'pond', 'separator', 'outfall', 'sanitary'];
    expect(kinds.map((kind) => holdsOf(made(kind)))).toEqual([0.1, 0, 0, 0, 0.5, 0.9, 1, 1]);
  });

  test('a separator holds less above its design flow: evenly to a third at twice of it, and no less beyond', () => {
    const separator = made('separator', { holds: 0.6, designFlowLps: 10 });
    const held = [0, 9, 10, 15, 20, 200].map((flowLps) => holdsAtFlow(separator, flowLps));
    [0.6, 0.6, 0.6, 0.4, 0.2, 0.2].forEach((expected, at) => void expect(held[at]).toBeCloseTo(expected, 12));
  });

  test('where no design flow is stated, and in all else, the flow makes no difference', () => {
    expect(holdsAtFlow(made('separator'), 1e6)).toBe(0.9);
    expect(holdsAtFlow(made('pond'), 1e6)).toBe(0.5);
  });
});
