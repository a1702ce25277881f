import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { uniformFlow } from '../../src/drainage/manning.ts';
import { findSpill, type SpillQuestion } from '../../src/spill/index.ts';
import { english } from '../support/english.ts';
import { type YardWords, yard } from '../support/yard.ts';

const ask = (words: YardWords, question: Partial<SpillQuestion> = {}) => {
  const { answer, problems } = findSpill(yard(words), {
    place: { zone: 'Z1' },
    litres: 120,
    overMinutes: 1,
    ...question,
  });
  if (!answer) throw new Error(JSON.stringify(problems));
  return answer;
};
const minutesTo = (answer: ReturnType<typeof ask>, id: string) =>
  answer.arrivals.find((each) => each.id === id)?.minutes;
const litresAt = (answer: ReturnType<typeof ask>, id: string) => answer.arrivals.find((each) => each.id === id)?.litres;

/** Wet ground that keeps nothing, with no flow to speak of. */
const DRIZZLE = { rainMmPerH: 1e-9 };

const LINE: YardWords = {
  zones: { Z1: { areaM2: 1000, surface: 'concrete', drainsTo: 'MH-1', slope: 0.01 } },
  structures: {
    'MH-1': { kind: 'manhole' },
    'MH-2': { kind: 'manhole' },
    'SEP-1': { kind: 'separator', holds: 0.9 },
    OUT: { kind: 'outfall' },
  },
  links: {
    P1: { from: 'MH-1', to: 'MH-2', lengthM: 60, slope: 0.01, diameterMm: 300 },
    P2: { from: 'MH-2', to: 'SEP-1', lengthM: 30, slope: 0.005, diameterMm: 300 },
    P3: { from: 'SEP-1', to: 'OUT', lengthM: 20 },
  },
};
const pipe = (slope: number, flowLps: number) =>
  uniformFlow({ section: { shape: 'round', diameterM: 0.3 }, slope, roughness: 0.013 }, flowLps).velocityMps;

describe('when the oil is where', () => {
  test('on a line: over the ground, then pipe by pipe at the depth of the spill’s own flow', () => {
    const answer = ask(LINE);
    const start = minutesTo(answer, 'MH-1') as number;
    // 120 L in a minute are 2 L/s.
    expect((minutesTo(answer, 'MH-2') as number) - start).toBeCloseTo(60 / pipe(0.01, 2) / 60, 9);
    expect((minutesTo(answer, 'SEP-1') as number) - start).toBeCloseTo(
      (60 / pipe(0.01, 2) + 30 / pipe(0.005, 2)) / 60,
      9,
    );
    expect(answer.arrivals.map(({ id }) => id)).toEqual(['MH-1', 'MH-2', 'SEP-1', 'OUT']);
    expect(answer.separators).toEqual(['SEP-1']);
    expect(answer.outfalls).toEqual([{ id: 'OUT', minutes: minutesTo(answer, 'OUT'), pastSeparator: true }]);
  });

  test('in rain the runoff is in the pipes too, C·i·A', () => {
    const answer = ask(LINE, { rainMmPerH: 25 });
    const runoff = (0.9 * 25 * 1000) / 3600;
    const between = (minutesTo(answer, 'MH-2') as number) - (minutesTo(answer, 'MH-1') as number);
    expect(between).toBeCloseTo(60 / pipe(0.01, 2 + runoff) / 60, 9);
  });

  test('a slower spill is a shallower and slower flow', () => {
    const [fast, slow] = [ask(LINE), ask(LINE, { overMinutes: 10 })];
    expect(minutesTo(slow, 'OUT') as number).toBeGreaterThan(minutesTo(fast, 'OUT') as number);
  });

  test('--ago: minutes count from now, and stop at nought', () => {
    const [now, later] = [ask(LINE), ask(LINE, { agoMinutes: 1 })];
    for (const { id, minutes } of later.arrivals) {
      expect(minutes).toBeCloseTo(Math.max(0, (minutesTo(now, id) as number) - 1), 9);
    }
    expect(later.arrivals[0].minutes).toBe(Math.max(0, (minutesTo(now, 'MH-1') as number) - 1));
  });

  test('the quickest of several ways counts, loops or not', () => {
    const answer = ask({
      zones: LINE.zones,
      structures: { ...LINE.structures, 'MH-3': { kind: 'manhole' } },
      links: {
        ...LINE.links,
        SLOW: { from: 'MH-1', to: 'MH-3', lengthM: 500, slope: 0.01 },
        BACK: { from: 'MH-3', to: 'MH-1', lengthM: 5 },
        ON: { from: 'MH-2', to: 'MH-3', lengthM: 1, slope: 0.01 },
      },
    });
    const [near, far] = [minutesTo(answer, 'MH-2') as number, minutesTo(answer, 'MH-3') as number];
    expect(far).toBeGreaterThan(near);
    expect(far - near).toBeLessThan(0.2);
  });

  test('a share of nought does not stop it, and litres may be 0', () => {
    const answer = ask({
      zones: LINE.zones,
      structures: { ...LINE.structures, BROOK: { kind: 'outfall' } },
      links: { ...LINE.links, SIDE: { from: 'MH-1', to: 'BROOK', share: 0, lengthM: 10 } },
    });
    expect(Number.isFinite(minutesTo(answer, 'BROOK'))).toBe(true);
    expect(litresAt(answer, 'BROOK')).toBe(0);
    expect(answer.outfalls.find(({ id }) => id === 'BROOK')?.pastSeparator).toBe(false);
  });

  test('a pipe that gets more than it carries runs full and says so', () => {
    const answer = ask(
      {
        ...LINE,
        links: { ...LINE.links, P1: { from: 'MH-1', to: 'MH-2', lengthM: 60, slope: 0.001, diameterMm: 100 } },
      },
      { rainMmPerH: 50 },
    );
    expect(answer.ways.filter(({ isSurcharged }) => isSurcharged).map(({ id }) => id)).toEqual(['P1']);
  });

  test('flat and uphill pipes take the least fall', () => {
    const flat = (slope: number) =>
      minutesTo(
        ask({ ...LINE, links: { ...LINE.links, P1: { from: 'MH-1', to: 'MH-2', lengthM: 60, slope } } }),
        'MH-2',
      );
    expect(flat(0)).toBe(flat(0.001));
    expect(flat(-0.3)).toBe(flat(0.001));
  });

  test('what was taken for a pipe that does not say is listed', () => {
    const { defaults } = ask({
      ...LINE,
      links: {
        P1: { from: 'MH-1', to: 'MH-2', lengthM: 60, slope: -0.1, diameterMm: 300 },
        P2: { from: 'MH-2', to: 'SEP-1', lengthM: 30, diameterMm: 300, fromInvert: 10, toInvert: 9 },
        P3: { from: 'SEP-1', to: 'OUT', lengthM: 20 },
      },
    });
    expect(defaults).toEqual({ diameter: ['P3'], slope: ['P3'], flat: ['P1'] });
  });

  test('twice as long and twice as fast leaves times alone', () => {
    // Manning’s speed goes with √slope at a given depth; a swale twice as fast at the same flow is no use, so overland.
    const over = (lengthM: number, slope: number) =>
      minutesTo(
        ask({
          ...LINE,
          links: { P1: { kind: 'overland', from: 'MH-1', to: 'MH-2', lengthM, slope } },
        }),
        'MH-2',
      ) as number;
    expect(over(200, 0.04)).toBeCloseTo(over(100, 0.01), 9);
  });
});

describe('how much of it', () => {
  test('what structures hold, by hand', () => {
    const answer = ask(
      {
        ...LINE,
        zones: { Z1: { areaM2: 1000, drainsTo: [{ to: 'CB-1', share: 0.75 }, { to: 'MH-2' }] } },
        structures: { ...LINE.structures, 'CB-1': { kind: 'catch-basin', insert: { holds: 0.5, litres: 20 } } },
        links: { ...LINE.links, P0: { from: 'CB-1', to: 'MH-1' } },
      },
      { rainMmPerH: 5 },
    );
    // 90 L come to the grate; the insert takes 20 of the 45 it would; a basin keeps a tenth.
    expect(litresAt(answer, 'CB-1')).toBeCloseTo(70, 9);
    expect(litresAt(answer, 'MH-1')).toBeCloseTo(63, 9);
    expect(litresAt(answer, 'SEP-1')).toBeCloseTo(63 + 30, 9);
    expect(litresAt(answer, 'OUT')).toBeCloseTo(9.3, 9);
  });

  test('dry ground keeps 2.54 mm on half a metre of the way (Denver Urban Drainage, 1984); in rain it keeps nothing', () => {
    const words: YardWords = {
      ...LINE,
      links: { ...LINE.links, P1: { kind: 'overland', from: 'MH-1', to: 'MH-2', lengthM: 10, slope: 0.01 } },
    };
    const [dry, wet] = [ask(words, { litres: 20_000 }), ask(words, { rainMmPerH: 1 })];
    expect((litresAt(dry, 'MH-1') as number) - (litresAt(dry, 'MH-2') as number)).toBeCloseTo(2.54 * 0.5 * 10, 9);
    expect(litresAt(wet, 'MH-2')).toBeCloseTo(120, 9);
    // The zone of this yard lies 1.1 km from its inlet: a litre is all kept.
    const small = ask(words, { litres: 1 });
    expect(litresAt(small, 'MH-2')).toBe(0);
    expect(Number.isFinite(minutesTo(small, 'MH-2'))).toBe(true);
  });

  /** Oil comes to the grate by itself and, past a basin that keeps none, over the ground. */
  const twoWays = (insert: object): YardWords => ({
    zones: { Z1: { areaM2: 1000, drainsTo: [{ to: 'CB-1', share: 0.25 }, { to: 'CB-2' }] } },
    structures: {
      'CB-1': { kind: 'catch-basin', holds: 0, insert },
      'CB-2': { kind: 'catch-basin', holds: 0 },
      OUT: { kind: 'outfall' },
    },
    links: { OVER: { kind: 'overland', from: 'CB-2', to: 'CB-1' }, P1: { from: 'CB-1', to: 'OUT' } },
  });

  test('an insert catches its litres once, by however many ways the oil comes to its grate', () => {
    const reaches = (insert: object, litres: number) => litresAt(ask(twoWays(insert), { litres, ...DRIZZLE }), 'OUT');
    // 30 of 120 L come first and 90 after them; with room for 40 it takes the 30 and 10 more.
    expect(reaches({ holds: 1, litres: 40 }, 120)).toBeCloseTo(80, 6);
    // Half of each, 15 and then the 25 that there is room for of 45.
    expect(reaches({ holds: 0.5, litres: 40 }, 120)).toBeCloseTo(80, 6);
    // As long as there is room it takes its part of all.
    expect(reaches({ holds: 0.5, litres: 40 }, 60)).toBeCloseTo(30, 6);
    expect(reaches({ holds: 0.5 }, 1200)).toBeCloseTo(600, 6);
  });

  test('an insert in a loop is full once for good', () => {
    const round = twoWays({ holds: 1, litres: 40 });
    const answer = ask(
      {
        ...round,
        structures: { ...round.structures, 'MH-1': { kind: 'manhole' } },
        links: {
          OVER: { kind: 'overland', from: 'CB-2', to: 'CB-1' },
          P1: { from: 'CB-1', to: 'MH-1' },
          BACK: { kind: 'overland', from: 'MH-1', to: 'CB-1', share: 0.5 },
          P2: { from: 'MH-1', to: 'OUT' },
        },
      },
      DRIZZLE,
    );
    expect(litresAt(answer, 'OUT')).toBeCloseTo(80, 6);
  });

  test('the ground under a way keeps its litres once, however often the oil comes round', () => {
    const answer = ask(
      {
        zones: { Z1: { areaM2: 1000, drainsTo: 'MH-1' } },
        structures: {
          'MH-1': { kind: 'manhole' },
          'MH-2': { kind: 'manhole' },
          'MH-3': { kind: 'manhole' },
          OUT: { kind: 'outfall' },
        },
        links: {
          P1: { from: 'MH-1', to: 'MH-2' },
          ROUND: { kind: 'overland', from: 'MH-2', to: 'MH-3', lengthM: 100, slope: 0.01 },
          BACK: { from: 'MH-3', to: 'MH-2', share: 0.75 },
          P2: { from: 'MH-3', to: 'OUT' },
        },
      },
      { litres: 20_000 },
    );
    const cameIn = litresAt(answer, 'MH-1') as number;
    expect(cameIn).toBeGreaterThan(10_000);
    // 2.54 mm on half a metre of 100 m; the pipes keep nothing.
    expect(cameIn - (litresAt(answer, 'OUT') as number)).toBeCloseTo(2.54 * 0.5 * 100, 6);
  });

  test('a separator run at twice its design flow holds a third of what it did', () => {
    const words: YardWords = {
      ...LINE,
      structures: { ...LINE.structures, 'SEP-1': { kind: 'separator', holds: 0.9, designFlowLps: 1, roomLitres: 500 } },
    };
    expect(litresAt(ask(words, { overMinutes: 2, ...DRIZZLE }), 'OUT')).toBeCloseTo(12, 6);
    expect(litresAt(ask(words, DRIZZLE), 'OUT')).toBeCloseTo(120 * (1 - 0.3), 6);
  });

  test('a separator keeps its part as long as there is room: as stated, by its last reading, else 15 L for each L/s', () => {
    const leaves = (properties: object, roomOf?: (id: string) => number) => {
      const words = { ...LINE, structures: { ...LINE.structures, 'SEP-1': { kind: 'separator', ...properties } } };
      const { answer } = findSpill(yard(words), { place: { zone: 'Z1' }, litres: 120, ...DRIZZLE }, { roomOf });
      return answer && litresAt(answer, 'OUT');
    };
    const room = () => 30;
    expect(leaves({ holds: 0.9, roomLitres: 40 }, room)).toBeCloseTo(80, 6);
    expect(leaves({ holds: 0.9, designFlowLps: 4 }, room)).toBeCloseTo(90, 6);
    // EN 858-1, from memory.
    expect(leaves({ holds: 0.9, designFlowLps: 4 })).toBeCloseTo(60, 6);
    // Common practice: past 25 mm it is to be pumped out, 25.4 L on each square metre.
    expect(leaves({ holds: 0.9, lengthM: 2, widthM: 1 })).toBeCloseTo(120 - 50.8, 6);
    expect(leaves({ holds: 0.9 })).toBeCloseTo(12, 6);
  });

  test('a loop loses nothing and makes nothing', () => {
    const answer = ask(
      {
        zones: LINE.zones,
        structures: { 'MH-1': { kind: 'manhole' }, 'MH-2': { kind: 'manhole' }, OUT: { kind: 'outfall' } },
        links: {
          P1: { from: 'MH-1', to: 'MH-2' },
          P2: { from: 'MH-2', to: 'MH-1', share: 0.5 },
          P3: { from: 'MH-2', to: 'OUT' },
        },
      },
      DRIZZLE,
    );
    expect(litresAt(answer, 'OUT')).toBeCloseTo(120, 6);
  });

  test('no more oil gets anywhere than was spilled, and none of it early', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(6), fc.nat(6), fc.double({ min: 0.1, max: 50, noNaN: true })), {
          minLength: 3,
          maxLength: 14,
        }),
        fc.double({ min: 0.01, max: 1e4, noNaN: true }),
        (ways, litres) => {
          const structures = Object.fromEntries(Array.from({ length: 7 }, (_, at) => [`S${at}`, { kind: 'manhole' }]));
          const links = Object.fromEntries(
            ways
              .filter(([from, to]) => from !== to)
              .map(([from, to, lengthM], at) => [`L${at}`, { from: `S${from}`, to: `S${to}`, lengthM }]),
          );
          const answer = ask(
            {
              zones: { Z1: { drainsTo: 'S0' } },
              structures: { ...structures, OUT: { kind: 'outfall' } },
              links: { ...links, END: { from: 'S6', to: 'OUT', lengthM: 1 } },
            },
            { litres },
          );
          const minutes = answer.arrivals.map((each) => each.minutes);
          expect(minutes).toEqual([...minutes].sort((a, b) => a - b));
          expect(litresAt(answer, 'OUT') ?? 0).toBeLessThanOrEqual(litres * (1 + 1e-9));
        },
      ),
    );
  });
});

describe('where it starts', () => {
  test('a point in a zone, a point near an inlet, a point nowhere', () => {
    const drainage = yard({ ...LINE, structures: { ...LINE.structures, 'CB-9': { kind: 'catch-basin' } } });
    const inZone = findSpill(drainage, { place: { point: [-104.9999, 40.0101] }, litres: 5 });
    expect(inZone.answer?.zone).toBe('Z1');
    const cb = drainage.map.structures.find(({ id }) => id === 'CB-9')?.position as number[];
    const near = findSpill(drainage, { place: { point: [cb[0] + 0.0001, cb[1]] }, litres: 5 });
    expect(near.answer?.inlets).toEqual(['CB-9']);
    expect(near.problems.map(({ code }) => code)).toEqual(['inlet-guessed']);
    expect(near.answer?.arrivals[0].minutes).toBeGreaterThan(0);
    const nowhere = findSpill(drainage, { place: { point: [-104, 41] }, litres: 5 });
    expect(nowhere.answer).toMatchObject({ inlets: [], arrivals: [], outfalls: [] });
    expect(english(nowhere.problems[0].message)).toContain('nothing drains from here');
  });

  test('an unknown zone is an error that names some', () => {
    const { answer, problems } = findSpill(yard(LINE), { place: { zone: 'Z9' }, litres: 5 });
    expect(answer).toBeNull();
    expect(problems[0]).toMatchObject({ code: 'unknown-id', severity: 'error' });
  });
});
