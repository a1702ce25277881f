import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  lengthOf,
  metreFrame,
  type Point,
  type SiteMap,
  walkerPosition,
  walkingGround,
} from '../../src/site-map/index.ts';
import type { DrawnBuilding } from '../../src/site-map/walls.ts';
import { waysRound } from '../../src/site-map/ways-round.ts';

type Rectangle = readonly [left: number, bottom: number, right: number, top: number];

const ringOf = ([left, bottom, right, top]: Rectangle): Point[] => [
  [left, bottom],
  [right, bottom],
  [right, top],
  [left, top],
  [left, bottom],
];
const solid = (...rings: Point[][]): DrawnBuilding => ({ lines: rings, isSolid: true });
const block = (...rectangle: Rectangle) => solid(ringOf(rectangle));
const wall = (...line: Point[]): DrawnBuilding => ({ lines: [line], isSolid: false });
const metres = (buildings: DrawnBuilding[], from: Point, to: Point) => waysRound(buildings).metresTo(from, [to])[0];
const straight = (a: Point, b: Point) => Math.hypot(a[0] - b[0], a[1] - b[1]);
/** Standing at a wall means a millimetre off it, so lengths there hold to a few of those. */
const MILLIMETRES = 2;

describe('round one building', () => {
  const square = block(0, 0, 10, 10);

  test('straight where nothing is in the way, along a wall too', () => {
    expect(metres([square], [-5, -5], [15, -5])).toBe(20);
    expect(metres([square], [-5, 0], [15, 0])).toBeCloseTo(20, 9);
    expect(metres([square], [-3, 10], [12, 10])).toBeCloseTo(15, 9);
  });

  test('from the middle of one side to the middle of the opposite one: round two corners', () => {
    expect(metres([square], [5, -5], [5, 15])).toBeCloseTo(2 * Math.sqrt(50) + 10, 9);
    expect(metres([square], [-5, 5], [5, -5])).toBeCloseTo(2 * Math.sqrt(50), 9);
  });

  test('the shorter of the two ways round is taken', () => {
    expect(metres([square], [1, -5], [1, 15])).toBeCloseTo(2 * Math.hypot(1, 5) + 10, 9);
    expect(metres([square], [9, -5], [9, 15])).toBeCloseTo(2 * Math.hypot(1, 5) + 10, 9);
  });

  test('places at a wall and on a corner stand outside it', () => {
    expect(metres([square], [5, 0], [5, 10])).toBeCloseTo(20, MILLIMETRES);
    expect(metres([square], [0, 0], [10, 10])).toBeCloseTo(20, MILLIMETRES);
    expect(metres([square], [0, 0], [10, 0])).toBeCloseTo(10, MILLIMETRES);
    expect(metres([square], [10, 5], [20, 5])).toBeCloseTo(10, MILLIMETRES);
    // Drawn a little inside its wall it still stands before that wall.
    expect(metres([square], [5, 0.03], [5, -7])).toBeCloseTo(7, 1);
    expect(metres([square], [5, 0.03], [5, 17])).toBeCloseTo(metres([square], [5, 0], [5, 17]), 1);
  });

  test('a place inside leaves straight through whichever wall is best; two inside are a straight line apart', () => {
    expect(metres([square], [5, 5], [20, 5])).toBe(15);
    expect(metres([square], [5, 5], [5, -20])).toBe(25);
    expect(metres([square], [2, 3], [8, 9])).toBeCloseTo(Math.hypot(6, 6), 9);
    // Out of one building, round the next.
    const next = block(20, 0, 30, 10);
    expect(metres([square, next], [9, 5], [35, 5])).toBeCloseTo(Math.hypot(11, 5) + 10 + Math.hypot(5, 5), 9);
  });

  test('a place inside leaves once and does not cut through another wing', () => {
    // A U, open above: from the left wing to the right of the right wing.
    const u = solid([
      [0, 0],
      [30, 0],
      [30, 20],
      [20, 20],
      [20, 10],
      [10, 10],
      [10, 20],
      [0, 20],
      [0, 0],
    ]);
    const found = metres([u], [5, 18], [40, 15]);
    expect(found).toBeGreaterThan(straight([5, 18], [40, 15]) + 0.3);
    // Over the top of the right wing, through its two upper corners.
    expect(found).toBeCloseTo(straight([5, 18], [20, 20]) + 10 + straight([30, 20], [40, 15]), 9);
    // In the bay itself it stands outside: the way out is up.
    expect(metres([u], [15, 11], [15, -5])).toBeGreaterThan(16 + 20);
    // The inner corner of the bay is outside too.
    expect(metres([u], [10, 10], [5, -5])).toBeCloseTo(10 + 10 + 20 + Math.hypot(5, 5), MILLIMETRES);
  });
});

describe('several buildings', () => {
  test('between two that touch there is no way, along a whole wall or at one corner', () => {
    const [left, right] = [block(0, 0, 10, 10), block(10, 0, 20, 10)];
    expect(metres([left, right], [10, -5], [10, 15])).toBeCloseTo(2 * Math.hypot(10, 5) + 10, 9);
    // Their fronts are one wall to walk along.
    expect(metres([left, right], [-1, 10], [21, 10])).toBeCloseTo(22, 9);
    const above = block(10, 10, 20, 20);
    // Through the corner it would be 14.14 m; round the left one it is this.
    expect(metres([left, above], [5, 15], [15, 5])).toBeCloseTo(Math.hypot(5, 5) * 2 + 20, 9);
    expect(metres([left, above], [9, 11], [11, 9])).toBeCloseTo(Math.hypot(9, 1) * 2 + 20, 9);
  });

  test('walls drawn a centimetre apart touch; a gap of a metre is a way', () => {
    const gap = (width: number) => [block(0, 0, 10, 10), block(10 + width, 0.004, 20, 9.996)];
    expect(metres(gap(0.01), [10, -5], [10, 15])).toBeGreaterThan(30);
    expect(metres(gap(1), [10.5, -5], [10.5, 15])).toBe(20);
    // A corner before the middle of a longer wall closes the gap as well.
    expect(metres([block(0, 0, 10, 10), block(10.01, -20, 20, 30)], [9, -1], [9, 11])).toBeCloseTo(
      Math.hypot(9, 1) * 2 + 10,
      9,
    );
    expect(metres([wall([10, 10], [10.02, 15]), block(0, 0, 10, 10)], [9, 11], [12, 11])).toBeCloseTo(
      straight([9, 11], [10.02, 15]) + straight([10.02, 15], [12, 11]),
      9,
    );
  });

  test('overlapping buildings are one', () => {
    const cross = [block(0, 10, 30, 20), block(10, 0, 20, 30)];
    expect(metres(cross, [5, 5], [25, 25])).toBeCloseTo(
      Math.min(
        straight([5, 5], [0, 10]) +
          10 +
          straight([0, 20], [10, 30]) +
          straight([10, 30], [20, 30]) +
          straight([20, 30], [25, 25]),
        straight([5, 5], [10, 0]) + 10 + straight([20, 0], [30, 10]) + 10 + straight([30, 20], [25, 25]),
      ),
      9,
    );
    // The corner of one in the other's ground is no place to turn at.
    expect(metres([block(0, 0, 10, 10), block(5, 5, 15, 15)], [4, 12], [12, 4])).toBeGreaterThan(
      straight([4, 12], [12, 4]) + 5,
    );
    // Twice the same building is that building.
    expect(metres([block(0, 0, 10, 10), block(0, 0, 10, 10)], [5, -5], [5, 15])).toBeCloseTo(2 * Math.sqrt(50) + 10, 9);
  });

  test('a courtyard, and ground with walls all round it, cannot be reached', () => {
    const yard = solid(ringOf([0, 0, 30, 30]), ringOf([10, 10, 20, 20]));
    expect(
      waysRound([yard]).metresTo(
        [15, 15],
        [
          [40, 15],
          [12, 18],
        ],
      ),
    ).toEqual([Infinity, straight([15, 15], [12, 18])]);
    // Who stands in the building goes out to either.
    expect(
      waysRound([yard]).metresTo(
        [5, 15],
        [
          [40, 15],
          [15, 15],
          [-5, 15],
        ],
      ),
    ).toEqual([expect.closeTo(Math.hypot(5, 15) + 30 + Math.hypot(10, 15), 9), 10, 10]);
    const pen = wall([0, 0], [10, 0], [10, 10], [0, 10], [0, 0]);
    expect(metres([pen], [5, 5], [15, 5])).toBe(Infinity);
    expect(metres([pen], [5, 5], [1, 1])).toBeCloseTo(Math.hypot(4, 4), 9);
    expect(metres([pen], [-1, 5], [11, 5])).toBeCloseTo(Math.hypot(1, 5) * 2 + 10, 9);
    // With a gate it can.
    const gate = wall([4, 0], [0, 0], [0, 10], [10, 10], [10, 0], [6, 0]);
    expect(metres([gate], [5, 5], [5, -5])).toBe(10);
    // Two walls and a building close ground in together.
    const bay = [block(0, 10, 10, 20), wall([0, 10], [0, 0], [10, 0]), wall([10, 0.01], [10, 10.01])];
    expect(metres(bay, [5, 5], [15, 5])).toBe(Infinity);
    expect(metres(bay, [5, 25], [15, 5])).toBeLessThan(30);
  });
});

describe('walls drawn as lines', () => {
  test('are walked round at their ends', () => {
    const fence = wall([0, 0], [10, 0]);
    expect(metres([fence], [3, -4], [3, 4])).toBeCloseTo(2 * Math.hypot(3, 4), 9);
    expect(metres([fence], [-5, 0], [15, 0])).toBeCloseTo(20, MILLIMETRES);
  });

  test('cannot be passed at a bend, nor where another wall begins', () => {
    const bend = wall([-10, 0], [0, 0], [0, -10]);
    expect(metres([bend], [-5, -5], [5, 5])).toBeCloseTo(straight([-5, -5], [-10, 0]) + straight([-10, 0], [5, 5]), 9);
    const three = [wall([-30, 0], [30, 0]), wall([0, 0], [0, 10])];
    expect(metres(three, [-1, 5], [1, 5])).toBeCloseTo(2 * Math.hypot(1, 5), 9);
    expect(metres(three, [0, -5], [-1, 5])).toBeCloseTo(straight([0, -5], [-30, 0]) + straight([-30, 0], [-1, 5]), 9);
    // Along the wall and past the one that stands on it: round its far end.
    expect(metres(three, [-8, 0.5], [8, 0.5])).toBeCloseTo(2 * straight([8, 0.5], [0, 10]), 9);
  });

  test('one side of a long wall is not the other', () => {
    const long = wall([0, 0], [10, 0], [20, 0], [30, 0]);
    expect(metres([long], [14, 1], [14, -1])).toBeCloseTo(2 * Math.hypot(14, 1), 9);
    // At a bend one way and then the other, the way along the wall between them does not change sides.
    const bends = wall([0, 10], [0, 0], [10, 0], [10, -10]);
    expect(metres([bends], [-1, 5], [11, -5])).toBeCloseTo(2 * Math.hypot(1, 5) + Math.hypot(10, 10), 9);
    const crossing = [wall([0, 0], [20, 0]), wall([10, -10], [10, 10])];
    expect(metres(crossing, [9, 1], [11, -1])).toBeCloseTo(
      straight([9, 1], [0, 0]) + straight([0, 0], [10, -10]) + straight([10, -10], [11, -1]),
      9,
    );
  });

  test('who stands at one can set out on either side', () => {
    const fence = wall([0, 0], [40, 0]);
    const [up, down] = waysRound([fence]).metresTo(
      [20, 0],
      [
        [20, 5],
        [20, -5],
      ],
    );
    expect([up, down]).toEqual([expect.closeTo(5, MILLIMETRES), expect.closeTo(5, MILLIMETRES)]);
  });
});

/** Blocks and axis-parallel walls on a small grid, so that they often touch, overlap and close ground in. */
const grid = fc.integer({ min: 0, max: 9 });
const rectangles = fc
  .array(fc.tuple(grid, grid, fc.integer({ min: 0, max: 5 }), fc.integer({ min: 0, max: 5 })), { maxLength: 8 })
  .map((all) =>
    all
      .filter(([, , width, height]) => width + height > 0)
      .map(([left, bottom, width, height]): Rectangle => [left, bottom, left + width, bottom + height]),
  );
const buildingsOf = (all: readonly Rectangle[]) =>
  all.map(([left, bottom, right, top]) =>
    left === right || bottom === top ? wall([left, bottom], [right, top]) : block(left, bottom, right, top),
  );
/** Off the grid, so in no wall. */
const place = fc
  .tuple(fc.integer({ min: -2, max: 16 }), fc.integer({ min: -2, max: 16 }))
  .map(([x, y]): Point => [x + 0.43, y + 0.61]);
const isOutside = (all: readonly Rectangle[], [x, y]: Point) =>
  all.every(([left, bottom, right, top]) => x < left || x > right || y < bottom || y > top);

describe('any blocks and walls', () => {
  test('as long as the shortest of all ways over corners, by testing every pair against every block', () => {
    fc.assert(
      fc.property(rectangles, place, place, (all, from, to) => {
        fc.pre(isOutside(all, from) && isOutside(all, to));
        const found = metres(buildingsOf(all), from, to);
        const expected = slowWay(all, from, to);
        if (expected === Infinity) expect(found).toBe(Infinity);
        else expect(Math.abs(found - expected)).toBeLessThan(0.02);
      }),
      { numRuns: 400, seed: 7 },
    );
  });

  test('is the same both ways, never shorter than straight, and never longer by way of a third place', () => {
    fc.assert(
      fc.property(
        rectangles,
        fc.array(place, { minLength: 3, maxLength: 3 }),
        fc.double({ min: 0, max: 6, noNaN: true }),
        (all, places, turn) => {
          fc.pre(places.every((each) => isOutside(all, each)));
          const turned = ([x, y]: Point): Point => [
            x * Math.cos(turn) - y * Math.sin(turn),
            x * Math.sin(turn) + y * Math.cos(turn),
          ];
          const buildings = buildingsOf(all);
          const rotated = buildings.map((each) => ({ ...each, lines: each.lines.map((line) => line.map(turned)) }));
          const [ways, slanted] = [waysRound(buildings), waysRound(rotated)];
          const [a, b, c] = places;
          const [ab, ac] = ways.metresTo(a, [b, c]);
          const [ba, bc] = ways.metresTo(b, [a, c]);
          expect(same(ab, ba)).toBe(true);
          expect(ab).toBeGreaterThanOrEqual(straight(a, b) - 1e-9);
          // The points of the way add up to its length, and no two of them are on either side of a building.
          const { metres: long, path } = ways.wayTo(a, b);
          expect(long).toBe(ab);
          expect(path.length === 0).toBe(ab === Infinity);
          const stretches = path.slice(1).map((to, at) => straight(path[at], to));
          if (path.length > 0)
            expect(
              same(
                stretches.reduce((sum, each) => sum + each),
                ab,
              ),
            ).toBe(true);
          path.slice(1).forEach((to, at) => {
            expect(same(ways.metresTo(path[at], [to])[0], stretches[at])).toBe(true);
          });
          expect(ac).toBeLessThanOrEqual(ab + bc + 1e-9);
          expect(same(slanted.metresTo(turned(a), [turned(b)])[0], ab)).toBe(true);
        },
      ),
      { numRuns: 300, seed: 11 },
    );
  });

  test('one more building never makes a way shorter', () => {
    fc.assert(
      fc.property(rectangles, place, place, (all, from, to) => {
        fc.pre(all.length > 0 && isOutside(all, from) && isOutside(all, to));
        const before = metres(buildingsOf(all.slice(1)), from, to);
        expect(metres(buildingsOf(all), from, to)).toBeGreaterThanOrEqual(before - 1e-9);
      }),
      { numRuns: 200, seed: 13 },
    );
  });
});

const same = (a: number, b: number) => a === b || Math.abs(a - b) < 1e-6;

describe('on a map', () => {
  const centre = [-104.27, 40.96];
  const frame = metreFrame(centre);
  const at = (x: number, y: number) => frame.toPosition([x, y]);
  const building = (geometry: object) => ({ type: 'Feature', id: 'B', properties: { kind: 'building' }, geometry });
  const polygon = (...rectangle: Rectangle) => [ringOf(rectangle).map(([x, y]) => at(x, y))];
  const ground = (others: object[], walking?: object) =>
    walkingGround({ site: { walking }, others } as unknown as SiteMap);
  const line = [at(-50, 5), at(50, 5)];

  test('without buildings: the geodesic distance × detour ÷ speed', () => {
    expect(ground([]).minutesFrom(line[0], [line[1], line[0]])).toEqual([(lengthOf(line) * 1.25) / 1.2 / 60, 0]);
    expect(ground([], { speedMps: 1, detour: 1.5 }).minutesFrom(line[0], [line[1]])).toEqual([
      expect.closeTo((100 * 1.5) / 60, 5),
    ]);
  });

  test('with buildings: straight without a detour factor, or round them', () => {
    const square = building({ type: 'Polygon', coordinates: polygon(-10, 0, 10, 20) });
    const { minutesFrom } = ground([square], { detour: 2 });
    const round = 2 * Math.hypot(40, 5) + 20;
    expect(minutesFrom(line[0], [at(-50, 65), line[1], line[0]]).map((each) => each * 72)).toEqual([
      expect.closeTo(60, 3),
      expect.closeTo(round, 3),
      0,
    ]);
  });

  test('the way itself: straight where no building is drawn, else bent at corners, both ends where they were asked for', () => {
    const free = ground([], { speedMps: 1, detour: 1.5 }).wayFrom(line[0], line[1]);
    expect(free).toEqual({ minutes: expect.closeTo(2.5, 5), path: line });
    const square = building({ type: 'Polygon', coordinates: polygon(-10, 0, 10, 20) });
    const { minutesFrom, wayFrom } = ground([square]);
    const { minutes, path } = wayFrom(line[0], line[1]);
    expect(minutes).toBe(minutesFrom(line[0], [line[1]])[0]);
    expect([path[0], path[3]]).toEqual(line);
    for (const [at, corner] of [[-10, 0] as const, [10, 0] as const].entries()) {
      const [x, y] = frame.toMetres(path[at + 1]);
      expect(straight([x, y], [...corner])).toBeLessThan(0.05);
    }
  });

  test('there is no way into a courtyard: infinite, and without points', () => {
    const court = building({
      type: 'Polygon',
      coordinates: [...polygon(-30, -30, 30, 30), ...polygon(-10, -10, 10, 10)],
    });
    const { minutesFrom, wayFrom } = ground([court]);
    expect(minutesFrom(at(-50, 0), [at(0, 0)])).toEqual([Infinity]);
    expect(wayFrom(at(-50, 0), at(0, 0))).toEqual({ minutes: Infinity, path: [] });
  });

  test('a MultiPolygon is all its parts, and a LineString is a wall', () => {
    const parts = building({ type: 'MultiPolygon', coordinates: [polygon(-10, 0, 0, 20), polygon(0, -20, 10, 20)] });
    const round = 2 * straight([50, 5], [10, 20]) + 20;
    expect(ground([parts]).minutesFrom(line[0], [line[1]])[0] * 72).toBeCloseTo(round, 3);
    const wallAcross = building({ type: 'LineString', coordinates: [at(0, -10), at(0, 20)] });
    expect(ground([wallAcross]).minutesFrom(line[0], [line[1]])[0] * 72).toBeCloseTo(2 * Math.hypot(50, 15), 3);
    // A property line is no wall.
    const drawn = { ...wallAcross, properties: { kind: 'property-line' } };
    expect(ground([drawn]).minutesFrom(line[0], [line[1]])[0] * 72).toBeCloseTo(125, 3);
  });

  test('one stands at a structure, a kit, a crew post, or inside a zone, even one whose middle lies outside', () => {
    const bend: Point[] = [
      [0, 0],
      [30, 0],
      [30, 6],
      [10, 6],
      [10, 40],
      [0, 40],
      [0, 0],
    ];
    const zone = (id: string, coordinates: Point[][]) => ({
      id,
      geometry: { type: 'Polygon', coordinates: coordinates.map((ring) => ring.map(([x, y]) => at(x, y))) },
    });
    const map = {
      structures: [{ id: 'CB-1', position: at(1, 2) }],
      zones: [
        zone('whole', [ringOf([0, 0, 20, 10])]),
        zone('bend', [bend]),
        zone('frame', [ringOf([0, 0, 20, 20]), ringOf([2, 2, 17, 18]).reverse()]),
        zone('nothing', [ringOf([4, 4, 4, 4])]),
      ],
      others: [
        { id: 'KIT-1', properties: { kind: 'kit' }, geometry: { type: 'Point', coordinates: at(3, 4) } },
        { ...building({ type: 'Polygon', coordinates: polygon(0, 0, 1, 1) }), id: 'B-1' },
      ],
    } as unknown as SiteMap;
    const metresOf = (id: string) => {
      const place = walkerPosition(map, id);
      return place && frame.toMetres(place).map((value) => Math.round(value * 1000) / 1000);
    };
    expect([metresOf('CB-1'), metresOf('KIT-1'), metresOf('whole'), metresOf('nothing')]).toEqual([
      [1, 2],
      [3, 4],
      [10, 5],
      [4, 4],
    ]);
    // The L is 180 m² about (15, 3) and 340 m² about (5, 23); the frame's is in its hole, and its east side is the wider one.
    expect(metresOf('bend')).toEqual([expect.closeTo(4400 / 520, 2), expect.closeTo(8360 / 520, 2)]);
    expect(metresOf('frame')).toEqual([expect.closeTo(18.5, 2), expect.any(Number)]);
    expect([metresOf('B-1'), metresOf('nowhere')]).toEqual([null, null]);
  });
});

const GROWN = 1e-4;

/** Every pair of corners of slightly grown blocks, each tested against every block, and all pairs by Floyd and Warshall. */
function slowWay(all: readonly Rectangle[], from: Point, to: Point): number {
  const grown = all.map(
    ([left, bottom, right, top]): Rectangle => [left - GROWN, bottom - GROWN, right + GROWN, top + GROWN],
  );
  const stops = [from, to, ...grown.flatMap((each) => ringOf(each).slice(1))];
  const far = stops.map((a) => stops.map((b) => (grown.some((each) => cuts(each, a, b)) ? Infinity : straight(a, b))));
  for (const by of stops.keys()) {
    for (const a of stops.keys()) {
      for (const b of stops.keys()) far[a][b] = Math.min(far[a][b], far[a][by] + far[by][b]);
    }
  }
  return far[0][1];
}

/** Whether a line has a piece inside a rectangle, its edge not counted: the part of it between the four sides. */
function cuts([left, bottom, right, top]: Rectangle, [ax, ay]: Point, [bx, by]: Point): boolean {
  let [start, end] = [0, 1];
  for (const [at, by_, low, high] of [
    [ax, bx - ax, left, right],
    [ay, by - ay, bottom, top],
  ]) {
    if (Math.abs(by_) < 1e-12) {
      if (at <= low + 1e-9 || at >= high - 1e-9) return false;
      continue;
    }
    const [one, other] = [(low - at) / by_, (high - at) / by_];
    start = Math.max(start, Math.min(one, other));
    end = Math.min(end, Math.max(one, other));
  }
  return end - start > 1e-9;
}
