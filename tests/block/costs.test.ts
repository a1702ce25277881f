import { describe, expect, test } from 'vitest';
import { controlsAt, devicesOf, newestDay, respondersOf } from '../../src/block/index.ts';
import { yardMap } from '../support/yard.ts';

type Words = Parameters<typeof yardMap>[0];
const PLACES: Words['structures'] = {
  'CB-1': { kind: 'catch-basin' },
  'TD-1': { kind: 'trench-drain' },
  'MH-1': { kind: 'manhole' },
  'SEP-1': { kind: 'separator' },
  'V-1': { kind: 'valve', exercised: '2026-03-01' },
  'V-2': { kind: 'valve' },
  'POND-1': { kind: 'pond' },
  'OUT-1': { kind: 'outfall' },
  'SAN-1': { kind: 'sanitary' },
  'EDGE-1': { kind: 'edge' },
};
const yard = (more: Partial<Words> = {}) =>
  yardMap({ zones: { Z1: { drainsTo: 'CB-1' } }, structures: PLACES, links: {}, ...more });

function at(map: ReturnType<typeof yard>, id: string, on: string | null = null) {
  const place = map.zones.find((each) => each.id === id) ?? map.structures.find((each) => each.id === id);
  if (!place) throw new Error(id);
  return controlsAt(map, place, on);
}

const device = (id: string, properties: object) => ({
  type: 'Feature',
  id,
  properties,
  geometry: { type: 'Point', coordinates: [-105, 40] },
});

describe('the ways to stop oil', () => {
  test('where the map lists none: by kind, in the order in which oil meets them', () => {
    const byPlace = ['Z1', ...Object.keys(PLACES)].map((id) => [id, at(yard(), id).map(({ control }) => control)]);
    expect(Object.fromEntries(byPlace)).toEqual({
      Z1: ['absorb', 'berm'],
      'CB-1': ['sock', 'cover', 'boom', 'plug'],
      'TD-1': ['sock', 'cover'],
      'MH-1': ['plug'],
      'SEP-1': ['plug'],
      'V-1': ['valve'],
      'V-2': ['valve'],
      'POND-1': [],
      'OUT-1': ['boom'],
      'SAN-1': [],
      'EDGE-1': [],
    });
  });

  test('the defaults: what each keeps, its minutes, and who it takes', () => {
    const any = Number.POSITIVE_INFINITY;
    const facts = [...at(yard(), 'CB-1'), ...at(yard(), 'OUT-1'), ...at(yard(), 'Z1')].map((each) => [
      each.control,
      [each.holds, each.minutes, each.litres, each.needs, each.isDefaultTime],
    ]);
    expect(Object.fromEntries(facts)).toEqual({
      sock: [0.8, 1, 40, null, true],
      cover: [0.95, 2, any, null, true],
      boom: [0.7, 5, 15, null, true],
      plug: [0.98, 25, any, 'trained', true],
      berm: [0.7, 5, 100, null, true],
      absorb: [0.5, 2, 40, null, true],
    });
  });

  test('the feature’s own figure counts before the site’s, the site’s before the default, each by itself', () => {
    const map = yard({
      site: { costs: { controls: { cover: { cost: 55, holds: 0.9 }, sock: { litres: 25, minutes: 3 } } } },
      structures: {
        ...PLACES,
        'CB-1': { kind: 'catch-basin', controls: [{ control: 'cover', cost: 70, litres: 500 }] },
      },
    });
    expect(at(map, 'CB-1')).toEqual([
      { control: 'cover', cost: 70, minutes: 2, isDefaultTime: true, holds: 0.9, litres: 500, needs: null },
    ]);
    expect(at(map, 'TD-1')[0]).toMatchObject({
      control: 'sock',
      litres: 25,
      minutes: 3,
      isDefaultTime: false,
      holds: 0.8,
    });
  });

  test('a valve is quick to close for a year after it was turned, and slow where that is not known', () => {
    const minutes = (id: string, on: string | null) => at(yard(), id, on)[0].minutes;
    expect(minutes('V-1', '2026-03-01')).toBe(2);
    expect(minutes('V-1', '2027-03-01')).toBe(2);
    expect(minutes('V-1', '2027-03-02')).toBe(10);
    expect(minutes('V-1', null)).toBe(10);
    expect(minutes('V-2', '2026-03-01')).toBe(10);
    const stated = yard({
      zones: {},
      structures: { 'V-2': { kind: 'valve', controls: [{ control: 'valve', minutes: 4 }] } },
    });
    expect(at(stated, 'V-2')[0]).toMatchObject({ minutes: 4, isDefaultTime: false, holds: 0.99 });
  });

  test('a valve that is closed cannot be closed; one of which nobody knows can', () => {
    const structures = { A: { kind: 'valve', state: 'closed' }, B: { kind: 'valve', state: 'unknown' } };
    expect(['A', 'B'].map((id) => at(yard({ zones: {}, structures }), id).length)).toEqual([0, 1]);
  });

  test('the newest day that a map tells is the newest day on which a valve was turned', () => {
    expect(newestDay(yard())).toBe('2026-03-01');
    const later = { ...PLACES, 'V-2': { kind: 'valve', exercised: '2026-05-30T10:00:00Z' } };
    expect(newestDay(yard({ structures: later }))).toBe('2026-05-30');
    expect(newestDay(yard({ zones: {}, structures: {} }))).toBeNull();
  });

  test('devices keep what they stop whole, need no kit and nobody trained, and state what they act on', () => {
    const map = yard({
      site: { costs: { controls: { 'fuel-stop': { minutes: 1 } } } },
      others: [
        device('FS-1', { kind: 'fuel-stop', stops: ['Z1'] }),
        device('PS-1', { kind: 'pump-switch', stops: ['MH-1'] }),
        device('DV-1', { kind: 'diverter', at: 'MH-1', to: 'POND-1' }),
        device('KIT-1', { kind: 'kit' }),
      ],
    });
    expect(devicesOf(map)).toMatchObject([
      { id: 'FS-1', control: 'fuel-stop', stops: ['Z1'], minutes: 1, isDefaultTime: false, holds: 1, needs: null },
      { id: 'PS-1', control: 'pump-switch', stops: ['MH-1'], minutes: 0.5, isDefaultTime: true, position: [-105, 40] },
      { id: 'DV-1', control: 'diverter', at: 'MH-1', to: 'POND-1', minutes: 2 },
    ]);
  });

  test('responders: soonest there first, who states no minutes last', () => {
    const responders = [
      { role: 'divers' },
      { role: 'vac truck', callOutMinutes: 45, lps: 5 },
      { role: 'crew', callOutMinutes: 30 },
    ];
    expect(respondersOf(yard({ site: { responders } }))).toEqual([
      { role: 'crew', callOutMinutes: 30, lps: null },
      { role: 'vac truck', callOutMinutes: 45, lps: 5 },
      { role: 'divers', callOutMinutes: null, lps: null },
    ]);
    expect(respondersOf(yard())).toEqual([]);
  });
});
