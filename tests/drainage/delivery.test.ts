import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  compileDrainage,
  downstreamOf,
  flowIndexOf,
  oilshed,
  toGraph,
  upstreamOf,
  upstreamPart,
  walk,
} from '../../src/drainage/index.ts';
import { type YardWords, yard, yardMap } from '../support/yard.ts';

/** Random yards: zones drain into structures, structures into any others, so that loops, splits and dead ends come up. */
const yards = fc
  .record({
    zones: fc.array(fc.array(fc.nat(9), { minLength: 1, maxLength: 3 }), { minLength: 1, maxLength: 5 }),
    holds: fc.array(fc.constantFrom(0, 0, 0.1, 0.5, 0.9, 1), { minLength: 10, maxLength: 10 }),
    links: fc.array(fc.tuple(fc.nat(9), fc.nat(9)), { maxLength: 18 }),
  })
  .map(({ zones, holds, links }): YardWords => {
    const named = (structure: number) => `S${structure}`;
    return {
      zones: Object.fromEntries(
        zones.map((inlets, zone) => [`Z${zone}`, { drainsTo: [...new Set(inlets)].map((to) => ({ to: named(to) })) }]),
      ),
      structures: Object.fromEntries(
        holds.map((share, structure) => [named(structure), { kind: 'catch-basin', holds: share }]),
      ),
      links: Object.fromEntries(links.map(([from, to], link) => [`P${link}`, { from: named(from), to: named(to) }])),
    };
  });

describe('reach', () => {
  test('the compiled order and the graphology walk give the same reach, upstream and downstream, on random yards', () => {
    fc.assert(
      fc.property(yards, (words) => {
        const drainage = yard(words);
        const { order, nodeOf } = drainage;
        const graph = toGraph(drainage);
        for (const [id, node] of nodeOf) {
          const idsOf = (marks: Uint8Array) =>
            [...nodeOf].filter(([, other]) => marks[order.indexOf[other]] === 1).map(([name]) => name);
          expect(idsOf(upstreamOf(drainage, order.indexOf[node]).reaches).sort()).toEqual(walk(graph, id, 'in').sort());
          expect(idsOf(downstreamOf(order, [order.indexOf[node]])).sort()).toEqual(walk(graph, id, 'out').sort());
        }
      }),
      { seed: 31, numRuns: 200 },
    );
  });

  test('of two circles that do not meet, each reaches what is below it and nothing of the other', () => {
    const circle = (n: number): YardWords => ({
      zones: { [`Z${n}`]: { drainsTo: `A${n}` } },
      structures: Object.fromEntries(['A', 'B', 'C', 'D'].map((name) => [`${name}${n}`, { kind: 'manhole' }])),
      links: {
        [`P${n}`]: { from: `A${n}`, to: `B${n}` },
        [`Q${n}`]: { from: `B${n}`, to: `A${n}` },
        [`R${n}`]: { from: `B${n}`, to: `C${n}` },
        [`S${n}`]: { from: `C${n}`, to: `D${n}` },
      },
    });
    const [one, two] = [circle(1), circle(2)];
    const drainage = yard({
      zones: { ...one.zones, ...two.zones },
      structures: { ...one.structures, ...two.structures },
      links: { ...one.links, ...two.links },
    });
    const { order, nodeOf } = drainage;
    const marked = (marks: Uint8Array) =>
      [...nodeOf].flatMap(([id, node]) => (marks[order.indexOf[node]] === 1 ? [id] : [])).sort();
    for (const n of [1, 2]) {
      const ids = (names: string) => [...names].map((name) => `${name}${n}`);
      for (const [at, above, below] of [
        ['Z', 'Z', 'ABCDZ'],
        ['A', 'ABZ', 'ABCD'],
        ['B', 'ABZ', 'ABCD'],
        ['C', 'ABCZ', 'CD'],
        ['D', 'ABCDZ', 'D'],
      ]) {
        const index = flowIndexOf(drainage, `${at}${n}`);
        const { reaches, delivered } = upstreamOf(drainage, index);
        expect(marked(reaches), `above ${at}${n}`).toEqual(ids(above));
        expect(marked(downstreamOf(order, [index])), `below ${at}${n}`).toEqual(ids(below));
        // Nothing is held on the way, so what reaches it is delivered whole, but for B's other way past A; of the rest nothing.
        const other = flowIndexOf(drainage, `B${n}`);
        const lost = [...delivered].flatMap((part, each) => (Math.abs(part - reaches[each]) < 1e-12 ? [] : [each]));
        expect(lost, `delivered to ${at}${n}`).toEqual(at === 'A' ? [other] : []);
      }
    }
  });

  test('adding a pipe never takes a zone out of an oilshed', () => {
    fc.assert(
      fc.property(yards, fc.nat(9), fc.nat(9), (words, from, to) => {
        const more = { ...words, links: { ...words.links, P99: { from: `S${from}`, to: `S${to}` } } };
        const [before, after] = [yard(words), yard(more)].map((drainage) =>
          oilshed(drainage, 'S3').map(({ zone }) => zone.id),
        );
        expect(before.filter((id) => !after.includes(id))).toEqual([]);
      }),
      { seed: 32, numRuns: 200 },
    );
  });

  test('on a line of n manholes, the last one oily, choosing lids by their reach takes as few looks as any order can', () => {
    // With every zone as likely, an order is a binary tree with n leaves, and the least mean depth of these is
    // (n·⌈log₂ n⌉ − 2^⌈log₂ n⌉ + n)/n (Knuth, The Art of Computer Programming 3, from memory; computed over all orders too).
    const least = {
      1: 0,
      2: 1,
      3: 5 / 3,
      4: 2,
      5: 12 / 5,
      6: 8 / 3,
      7: 20 / 7,
      8: 3,
      9: 29 / 9,
      10: 17 / 5,
      12: 11 / 3,
      15: 59 / 15,
      16: 4,
    };
    for (const [words, expected] of Object.entries(least)) {
      const count = Number(words);
      const line = Array.from({ length: count }, (_, at) => at + 1);
      const drainage = yard({
        zones: Object.fromEntries(line.map((at) => [`Z${at}`, { drainsTo: `M${at}` }])),
        structures: Object.fromEntries(line.map((at) => [`M${at}`, { kind: 'manhole' }])),
        links: Object.fromEntries(line.slice(1).map((at) => [`P${at}`, { from: `M${at - 1}`, to: `M${at}` }])),
      });
      const reach = line.map((at) => new Set(oilshed(drainage, `M${at}`).map(({ zone }) => Number(zone.id.slice(1)))));
      expect(leastTests(line, reach, new Map()) / count, `n = ${count}`).toBeCloseTo(expected, 12);
    }
  });
});

/** Sum over the suspects of the tests the best policy needs: a dynamic programme over sets of suspects, knowing only what each lid's oilshed is. */
function leastTests(suspects: number[], reach: Set<number>[], known: Map<string, number>): number {
  if (suspects.length < 2) return 0;
  const key = suspects.join();
  const before = known.get(key);
  if (before !== undefined) return before;
  let least = Number.POSITIVE_INFINITY;
  for (const oilshedOfLid of reach) {
    const [oily, clean] = [
      suspects.filter((zone) => oilshedOfLid.has(zone)),
      suspects.filter((zone) => !oilshedOfLid.has(zone)),
    ];
    if (oily.length === 0 || clean.length === 0) continue;
    least = Math.min(least, suspects.length + leastTests(oily, reach, known) + leastTests(clean, reach, known));
  }
  known.set(key, least);
  return least;
}

/** The chance of ever entering a structure, by following the chances of where a drop is, step after step. */
function followDrops(words: YardWords, start: string, target: string): number {
  const drainage = yard(words);
  const { order, share, holds } = drainage;
  const targetPlace = flowIndexOf(drainage, target);
  let now = new Float64Array(order.nodeCount);
  now[flowIndexOf(drainage, start)] = 1;
  let entered = 0;
  for (let step = 0; step < 4000; step++) {
    const next = new Float64Array(order.nodeCount);
    for (let place = 0; place < order.nodeCount; place++) {
      for (let edge = order.rows[place]; edge < order.rows[place + 1]; edge++) {
        next[order.targets[edge]] += now[place] * (1 - holds[place]) * share[edge];
      }
    }
    entered += next[targetPlace];
    next[targetPlace] = 0;
    now = next;
  }
  return entered;
}

describe('delivery', () => {
  test('delivered is the chance that a drop, followed step by step, ever enters the point', () => {
    fc.assert(
      fc.property(yards, fc.nat(9), (words, structure) => {
        const at = `S${structure}`;
        for (const { zone, delivered } of oilshed(yard(words), at)) {
          expect(delivered).toBeCloseTo(followDrops(words, zone.id, at), 8);
        }
      }),
      { seed: 33, numRuns: 60 },
    );
  });

  test('the part upstream of a point gives the same delivery as the whole', () => {
    fc.assert(
      fc.property(yards, (words) => {
        const drainage = yard(words);
        const target = flowIndexOf(drainage, 'S4');
        const whole = upstreamOf(drainage, target);
        const part = upstreamPart(drainage, target);
        const { delivered } = upstreamOf(part, part.target);
        part.wholePlace.forEach((place, at) => void expect(delivered[at]).toBeCloseTo(whole.delivered[place], 12));
        expect(part.wholePlace.length).toBe(whole.reaches.filter((mark) => mark === 1).length);
        // Its edges are those between places that are in it.
        const { rows, targets, nodeCount } = drainage.order;
        let edges = 0;
        for (let place = 0; place < nodeCount; place++) {
          for (let edge = rows[place]; edge < rows[place + 1]; edge++)
            edges += whole.reaches[place] & whole.reaches[targets[edge]];
        }
        expect(part.order.targets.length).toBe(edges);
      }),
      { seed: 34, numRuns: 100 },
    );
  });

  test('what is held on the way is taken off, but not what the point itself holds', () => {
    const drainage = yard({
      zones: { Z1: { drainsTo: 'CB-1' } },
      structures: { 'CB-1': { kind: 'catch-basin', holds: 0.25 }, 'SEP-1': { kind: 'separator' } },
      links: { P1: { from: 'CB-1', to: 'SEP-1' } },
    });
    expect(oilshed(drainage, 'CB-1')[0].delivered).toBe(1);
    expect(oilshed(drainage, 'SEP-1')[0].delivered).toBe(0.75);
  });

  test('a point that holds everything upstream takes delivery away, but never reach', () => {
    const drainage = yard({
      zones: { Z1: { drainsTo: 'CB-1' } },
      structures: { 'CB-1': { kind: 'catch-basin', holds: 1 }, 'MH-1': { kind: 'manhole' } },
      links: { P1: { from: 'CB-1', to: 'MH-1' } },
    });
    expect(oilshed(drainage, 'MH-1').map(({ zone, delivered }) => [zone.id, delivered])).toEqual([['Z1', 0]]);
  });

  test('zones that deliver most come first, and of those that deliver as much the first by id', () => {
    const drainage = yard({
      zones: {
        Z3: { drainsTo: 'A' },
        Z1: { drainsTo: 'A' },
        Z2: { drainsTo: 'B' },
        Z0: { drainsTo: 'C' },
      },
      structures: {
        A: { kind: 'catch-basin', holds: 0.5 },
        B: { kind: 'catch-basin', holds: 0.2 },
        C: { kind: 'catch-basin' },
        OUT: { kind: 'outfall' },
      },
      links: { P1: { from: 'A', to: 'OUT' }, P2: { from: 'B', to: 'OUT' } },
    });
    expect(oilshed(drainage, 'OUT').map(({ zone, delivered }) => [zone.id, delivered])).toEqual([
      ['Z2', 0.8],
      ['Z1', 0.5],
      ['Z3', 0.5],
    ]);
  });

  test('links without a share divide what the stated shares leave', () => {
    const drainage = yard({
      zones: { Z1: { drainsTo: 'MH-1' } },
      structures: Object.fromEntries(['MH-1', 'A', 'B', 'C'].map((id) => [id, { kind: 'manhole' }])),
      links: {
        P1: { from: 'MH-1', to: 'A', share: 0.7 },
        P2: { from: 'MH-1', to: 'B' },
        P3: { from: 'MH-1', to: 'C' },
      },
    });
    const delivered = ['A', 'B', 'C'].map((id) => oilshed(drainage, id)[0].delivered);
    expect(delivered[0]).toBeCloseTo(0.7, 12);
    expect(delivered[1]).toBeCloseTo(0.15, 12);
    expect(delivered[2]).toBeCloseTo(0.15, 12);
  });

  test('an insert takes its part of what comes over the surface and nothing of what comes by pipe', () => {
    const structures = {
      'CB-1': { kind: 'catch-basin', holds: 0, insert: { holds: 0.6 } },
      'CB-2': { kind: 'catch-basin', holds: 0, insert: { holds: 0.6 } },
      'MH-1': { kind: 'manhole' },
    };
    const links = { P1: { from: 'CB-1', to: 'CB-2' }, P2: { from: 'CB-2', to: 'MH-1' } };
    const drainage = yard({ zones: { Z1: { drainsTo: 'CB-1' } }, structures, links });
    expect(oilshed(drainage, 'MH-1')[0].delivered).toBeCloseTo(0.4, 12);
    const overland = yard({
      zones: { Z1: { drainsTo: 'CB-1' } },
      structures,
      links: { ...links, P1: { ...links.P1, kind: 'overland' } },
    });
    expect(oilshed(overland, 'MH-1')[0].delivered).toBeCloseTo(0.16, 12);
  });

  test('a lossless closed loop is entered for certain and delivers nothing beyond', () => {
    const drainage = yard({
      zones: { Z1: { drainsTo: 'A' } },
      structures: { A: { kind: 'manhole' }, B: { kind: 'manhole' }, C: { kind: 'manhole' } },
      links: { P1: { from: 'A', to: 'B' }, P2: { from: 'B', to: 'A' } },
    });
    expect(oilshed(drainage, 'B')[0].delivered).toBe(1);
    expect(oilshed(drainage, 'C')).toEqual([]);
    expect(drainage.loops.map((ids) => ids.sort())).toEqual([['A', 'B']]);
  });

  test('renaming ids renames the answers and changes nothing else', () => {
    const words = (prefix: string): YardWords => ({
      zones: { Z1: { drainsTo: [{ to: `${prefix}A`, share: 0.3 }, { to: `${prefix}B` }] } },
      structures: {
        [`${prefix}A`]: { kind: 'catch-basin' },
        [`${prefix}B`]: { kind: 'catch-basin' },
        [`${prefix}C`]: { kind: 'manhole' },
      },
      links: { P1: { from: `${prefix}A`, to: `${prefix}C` }, P2: { from: `${prefix}B`, to: `${prefix}A` } },
    });
    const [first, second] = ['x', 'quite-other-'].map((prefix) =>
      oilshed(compileDrainage(yardMap(words(prefix))), `${prefix}C`),
    );
    expect(first[0].delivered).toBe(second[0].delivered);
    expect(first[0].delivered).toBeCloseTo(0.3 * 0.9 + 0.7 * 0.81, 12);
  });
});
