import { describe, expect, test } from 'vitest';
import { isInside } from '../../src/algorithms/index.ts';
import { TakenBoxes } from '../../src/drawing/boxes.ts';
import type { Flat } from '../../src/drawing/flat.ts';
import { labelSpots } from '../../src/drawing/label-spots.ts';
import { placePointLabel } from '../../src/drawing/point-labels.ts';
import type { Room } from '../../src/drawing/room.ts';
import { breakName, type LabelledZone, placeZoneLabels } from '../../src/drawing/zone-labels.ts';
import { ENGLISH } from '../support/english.ts';

const rectangle = (left: number, top: number, right: number, bottom: number): Flat[] => [
  [left, top],
  [right, top],
  [right, bottom],
  [left, bottom],
  [left, top],
];
const emptyRoom = (): Room => ({ words: new TakenBoxes(), marks: new TakenBoxes(), links: new TakenBoxes() });
const whole = { scale: 1, x: 0, y: 0 };

function zone(id: string, ring: Flat[], rest: Partial<LabelledZone> = {}): LabelledZone {
  const area = [[ring]];
  const words = { id, name: `The ${id} island` } as LabelledZone['zone'];
  return { zone: words, area, spots: labelSpots(area, []), share: 0.62, goesRound: false, ...rest };
}

describe('where a label may stand', () => {
  test('the best spot of a rectangle is near its middle', () => {
    const [[x, y]] = labelSpots([[rectangle(0, 0, 100, 40)]], []);
    expect(Math.abs(x - 50)).toBeLessThan(21);
    expect(Math.abs(y - 20)).toBeLessThan(2);
  });

  test('every spot of an L lies inside it, though its middle does not', () => {
    const bend: Flat[] = [
      [0, 0],
      [20, 0],
      [20, 80],
      [100, 80],
      [100, 100],
      [0, 100],
      [0, 0],
    ];
    expect(isInside([bend], [50, 50])).toBe(false);
    const spots = labelSpots([[bend]], []);
    expect(spots.length).toBeGreaterThan(1);
    for (const spot of spots) expect(isInside([bend], spot)).toBe(true);
  });

  test('no spot lies in a hole', () => {
    const hole = rectangle(30, 30, 70, 70);
    for (const [x, y] of labelSpots([[rectangle(0, 0, 100, 100), hole]], [])) {
      expect(x > 30 && x < 70 && y > 30 && y < 70).toBe(false);
    }
  });

  test('the best spot keeps away from a mark', () => {
    const mark: Flat = [50, 20];
    const [[x, y]] = labelSpots([[rectangle(0, 0, 100, 40)]], [mark]);
    expect(Math.hypot(x - 50, y - 20)).toBeGreaterThan(10);
  });

  test('an area without ground has none', () => {
    expect(labelSpots([], [])).toEqual([]);
    expect(
      labelSpots(
        [
          [
            [
              [0, 0],
              [0, 0],
              [0, 0],
            ],
          ],
        ],
        [],
      ),
    ).toEqual([]);
  });
});

describe('what a zone’s label says', () => {
  const kinds = (zones: LabelledZone[], scale = 1) =>
    placeZoneLabels(zones, { transform: { ...whole, scale }, room: emptyRoom() }, ENGLISH).map(({ lines }) =>
      lines.map(({ kind }) => kind).join(' '),
    );

  test('number and name where there is room, the number alone where there is not', () => {
    const large = zone('fuel', rectangle(0, 0, 300, 120));
    expect(kinds([large])).toEqual(['number name']);
    expect(kinds([zone('fuel', rectangle(0, 0, 96, 80))])).toEqual(['number name name']);
    expect(kinds([large], 0.15)).toEqual(['number']);
    expect(kinds([large], 0.02)).toEqual(['number']);
  });

  test('"bypass" outlives the name', () => {
    const round = zone('fuel', rectangle(0, 0, 100, 40), { goesRound: true });
    expect(kinds([round])).toEqual(['number round']);
  });

  test('a zone that cannot have sent it has a name and no number', () => {
    expect(kinds([zone('fuel', rectangle(0, 0, 300, 120), { share: null })])).toEqual(['name']);
  });

  test('labels never lie on each other, and the larger share is placed first', () => {
    const ring = rectangle(0, 0, 60, 24);
    const zones = [zone('small', ring, { share: 0.1 }), zone('large', ring, { share: 0.9 })];
    const labels = placeZoneLabels(zones, { transform: whole, room: emptyRoom() }, ENGLISH);
    expect(labels[0].id).toBe('large');
    expect(labels[0].lines[0].text).toBe('90%');
    const [first, second] = labels;
    if (second) expect(Math.abs(first.x - second.x) > 20 || Math.abs(first.top - second.top) > 20).toBe(true);
  });
});

test('a name breaks at the space nearest its middle', () => {
  expect(breakName('Lower truck park')).toEqual(['Lower', 'truck park']);
  expect(breakName('Dock')).toEqual(['Dock']);
});

test('a mark’s label moves to another side when one is taken, and is left out when none is free', () => {
  const room = emptyRoom();
  expect(placePointLabel('CB-1', [0, 0], room)?.anchor).toBe('start');
  room.words.take({ x: 30, y: 0, width: 20, height: 60 });
  expect(placePointLabel('CB-2', [0, 0], room)?.anchor).toBe('end');
  room.words.take({ x: 0, y: 0, width: 400, height: 400 });
  expect(placePointLabel('CB-3', [0, 0], room)).toBeNull();
});
