import { describe, expect, test } from 'vitest';
import { chevronsAlong } from '../../src/drawing/chevrons.ts';
import { boundsOf, fitTo, flatOf, metresPerFlat, positionOf, toPixels } from '../../src/drawing/flat.ts';
import { hatchOf, rampStep } from '../../src/drawing/ramp.ts';
import { scaleLength } from '../../src/drawing/scale-length.ts';
import { spacingOf } from '../../src/drawing/spacing.ts';
import { ENGLISH, US_ENGLISH } from '../support/english.ts';

describe('the ramp', () => {
  test('a share on a step’s edge takes the darker step', () => {
    expect([0, 0.049, 0.05, 0.0999, 0.1, 0.2, 0.399, 0.4, 1].map(rampStep)).toEqual([1, 1, 2, 2, 3, 4, 4, 5, 5]);
  });

  test('zones of one group share a hatch, and a zone alone has none', () => {
    const groups = [
      ['A', 'B'],
      ['C', 'D'],
    ];
    expect(hatchOf(groups, 'A')).toBe(hatchOf(groups, 'B'));
    expect(hatchOf(groups, 'C')).not.toBe(hatchOf(groups, 'A'));
    expect(hatchOf(groups, 'E')).toBe(0);
  });
});

describe('the flat map', () => {
  test('there and back is the same place', () => {
    const [lon, lat] = positionOf(flatOf([-105.123456, 40.654321]));
    expect(lon).toBeCloseTo(-105.123456, 10);
    expect(lat).toBeCloseTo(40.654321, 10);
  });

  test('the middle of the world lies in the middle, north is up', () => {
    expect(flatOf([0, 0])).toEqual([128, 128]);
    expect(flatOf([0, 10])[1]).toBeLessThan(128);
  });

  test('a degree of longitude at 60° north is half one at the equator', () => {
    expect(metresPerFlat(60) / metresPerFlat(0)).toBeCloseTo(0.5, 10);
    expect((metresPerFlat(0) * 256) / 360).toBeCloseTo(111_319.49, 1);
  });

  test('fitting shows all of a box, inside the margin, as large as can be', () => {
    const bounds = boundsOf([
      [2, 3],
      [12, 8],
    ]);
    if (!bounds) throw new Error('no bounds');
    const transform = fitTo(bounds, { width: 220, height: 500, margin: 10 });
    expect(toPixels(transform, [2, 3])[0]).toBeCloseTo(10);
    expect(toPixels(transform, [12, 8])[0]).toBeCloseTo(210);
    expect(toPixels(transform, [7, 5.5])[1]).toBeCloseTo(250);
  });
});

describe('chevrons', () => {
  const points = (path: string) =>
    [...path.matchAll(/-?\d+\.\d+ -?\d+\.\d+/g)].map(([text]) => text.split(' ').map(Number));

  test('a short link has none, a longer one at least one', () => {
    expect(
      chevronsAlong([
        [0, 0],
        [10, 0],
      ]),
    ).toBe('');
    expect(
      points(
        chevronsAlong([
          [0, 0],
          [30, 0],
        ]),
      ),
    ).toHaveLength(3);
    expect(
      points(
        chevronsAlong([
          [0, 0],
          [256, 0],
        ]),
      ),
    ).toHaveLength(12);
  });

  test('the tip lies ahead of its tails, the way the link flows', () => {
    const [left, tip, right] = points(
      chevronsAlong([
        [0, 0],
        [40, 0],
      ]),
    );
    expect(tip[0]).toBeGreaterThan(left[0]);
    expect(left[0]).toBe(right[0]);
    const [back, turned] = points(
      chevronsAlong([
        [40, 0],
        [0, 0],
      ]),
    );
    expect(turned[0]).toBeLessThan(back[0]);
  });

  test('they follow a bend', () => {
    const tips = points(
      chevronsAlong([
        [0, 0],
        [64, 0],
        [64, 64],
      ]),
    ).filter((_, at) => at % 3 === 1);
    expect(tips[0][1]).toBe(0);
    expect(tips[1][0]).toBe(64);
  });
});

describe('the scale bar', () => {
  test.each([
    [0.1, 'si', '10 m', 100],
    [0.3, 'si', '20 m', 66.7],
    [12, 'si', '1 km', 83.3],
    [0.3048, 'us', '100 ft', 100],
    [0.003, 'si', '0.2 m', 66.7],
  ] as const)('at %f m a pixel in %s it says %s', (metresPerPixel, units, label, pixels) => {
    const bar = scaleLength(metresPerPixel, 130, units === 'us' ? US_ENGLISH : ENGLISH);
    expect(bar.label).toBe(label);
    expect(bar.pixels).toBeCloseTo(pixels, 0);
  });
});

test('spacing is the distance to the nearest neighbour, at the middle of all', () => {
  expect(
    spacingOf([
      [0, 0],
      [1, 0],
      [5, 0],
      [5, 3],
      [100, 100],
    ]),
  ).toBe(3);
  expect(spacingOf([[0, 0]])).toBe(Number.POSITIVE_INFINITY);
  expect(spacingOf([])).toBe(Number.POSITIVE_INFINITY);
});
