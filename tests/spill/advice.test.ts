import { describe, expect, test } from 'vitest';
import { CONTROLS, FLUIDS, INLET_KINDS, STRUCTURE_KINDS } from '../../src/site-map/index.ts';
import { deadliest, farShutOff, safetyFor } from '../../src/spill/index.ts';
import { ENGLISH, SPANISH } from '../support/english.ts';
import { yard } from '../support/yard.ts';

const keys = (sentences: readonly { told: string }[]) => sentences.map(({ told }) => told);
const first = (fluid: Parameters<typeof safetyFor>[0]['fluid'], mayBeGasoline = fluid === 'gasoline') =>
  keys(safetyFor({ fluid, mayBeGasoline }).first);

describe('what is said first', () => {
  test('is fire and injury, for every fluid', () => {
    for (const fluid of FLUIDS) expect(first(fluid)[0]).toBe('spill.fire-or-injury');
    expect(first(null, true)[0]).toBe('spill.fire-or-injury');
  });

  test('is nothing but to get out, keep away and call where it is or may be gasoline', () => {
    expect(first('gasoline')).toEqual(['spill.fire-or-injury', 'spill.gasoline']);
    expect(first(null, true)).toEqual(['spill.fire-or-injury', 'spill.may-be-gasoline']);
    for (const voice of [ENGLISH, SPANISH]) {
      const words = safetyFor({ fluid: null, mayBeGasoline: true }).first.map(voice.tell).join(' ');
      expect(words).not.toMatch(/then block|stop the source|bloquee|detenga la fuga/i);
    }
  });

  test('sends nobody to a step where it may be gasoline, whatever the step', () => {
    for (const control of CONTROLS)
      for (const kind of [null, ...STRUCTURE_KINDS])
        for (const danger of [
          { fluid: 'gasoline', mayBeGasoline: true } as const,
          { fluid: null, mayBeGasoline: true },
        ])
          expect(safetyFor(danger, { control, kind }).before).toEqual([]);
  });

  test('forbids ignition for diesel and for what nobody has named, and not for oils that do not light', () => {
    expect(first('diesel')).toContain('spill.no-ignition');
    expect(first('other')).toContain('spill.no-ignition');
    expect(first('hydraulic-oil')).not.toContain('spill.no-ignition');
  });

  test('says that the fluid is assumed where nobody said it and the map lists none', () => {
    const assumed = { fluid: 'other', mayBeGasoline: false, fluidFrom: 'assumed' } as const;
    expect(keys(safetyFor(assumed).first)).toContain('spill.fluid-not-known');
    expect(keys(safetyFor({ ...assumed, fluidFrom: 'said' }).first)).not.toContain('spill.fluid-not-known');
  });
});

describe('what stands before a step', () => {
  const beforeStep = (control: (typeof CONTROLS)[number], kind: (typeof STRUCTURE_KINDS)[number] | null) =>
    keys(safetyFor({ fluid: 'diesel', mayBeGasoline: false }, { control, kind }).before);

  test('is said for every control at every kind of place, in both languages', () => {
    for (const control of CONTROLS)
      for (const kind of [null, ...STRUCTURE_KINDS]) {
        const words = safetyFor({ fluid: 'motor-oil', mayBeGasoline: false }, { control, kind }).before;
        expect(words.length, `${control} at ${kind}`).toBeGreaterThan(0);
        for (const voice of [ENGLISH, SPANISH]) expect(words.map(voice.tell).join(' ')).not.toMatch(/undefined|[{}]/);
      }
  });

  test('a plug is for trained people, two of them, from above, with the meter first where fuel is possible', () => {
    expect(beforeStep('plug', 'manhole')).toEqual(['spill.before-trained', 'spill.before-lid-fuel']);
    const oil = safetyFor({ fluid: 'gear-oil', mayBeGasoline: false }, { control: 'plug', kind: 'manhole' }).before;
    expect(keys(oil)).toEqual(['spill.before-trained', 'spill.before-lid']);
    expect(oil.map(ENGLISH.tell).join(' ')).toMatch(/from above.*Nobody goes in/);
  });

  test('a grate stands in the traffic; a boom in a basin is lid work in it; at water nobody wades in', () => {
    for (const kind of INLET_KINDS) {
      expect(beforeStep('cover', kind)).toEqual(['spill.before-grate']);
      expect(beforeStep('sock', kind)).toEqual(['spill.before-grate']);
      expect(beforeStep('boom', kind)).toEqual(['spill.before-grate', 'spill.before-lid-fuel']);
    }
    expect(beforeStep('boom', 'outfall')).toEqual(['spill.before-bank']);
  });
});

describe('what stands beside every plan', () => {
  test('has the lid, the traffic, the training, never enter, no hosing, no detergent, no dispersant, eyes and gloves', () => {
    for (const fluid of [null, ...FLUIDS]) {
      const words = safetyFor({ fluid, mayBeGasoline: fluid === null })
        .always.map(ENGLISH.tell)
        .join(' ');
      for (const each of ['Never enter', 'traffic', 'trained for', 'two people', 'upwind', 'hose', 'detergent'])
        expect(words).toContain(each);
      expect(words).toMatch(/No detergent, no dispersant.*/);
      expect(words).toMatch(/eye protection and gloves/);
    }
  });

  test('measures gas at a lid first where fuel is possible', () => {
    const lid = (fluid: 'diesel' | 'cooking-oil') => keys(safetyFor({ fluid, mayBeGasoline: false }).always);
    expect(lid('diesel')).toContain('spill.caution-lid-fuel');
    expect(lid('cooking-oil')).toContain('spill.caution-lid');
  });
});

describe('the fluid that decides', () => {
  test('is the deadliest, and among equals the larger', () => {
    const of = (...fluids: [(typeof FLUIDS)[number], number][]) =>
      deadliest(fluids.map(([fluid, largestLitres]) => ({ fluid, largestLitres })))?.fluid;
    expect(of(['motor-oil', 208], ['hydraulic-oil', 208], ['gasoline', 20])).toBe('gasoline');
    expect(of(['hydraulic-oil', 300], ['diesel', 60])).toBe('diesel');
    expect(of(['coolant', 40], ['motor-oil', 60])).toBe('motor-oil');
    expect(deadliest([])).toBeNull();
  });
});

test('a shut-off of the zone is named only where it is far from the oil', () => {
  const { map } = yard({ zones: { 'Z-1': { drainsTo: 'CB-1' } }, structures: { 'CB-1': { kind: 'catch-basin' } } });
  const [[lon, lat]] = map.zones[0].geometry.type === 'Polygon' ? map.zones[0].geometry.coordinates[0] : [[0, 0]];
  const stop = (id: string, north: number, stops = ['Z-1']) => ({
    type: 'Feature' as const,
    id,
    properties: { kind: 'fuel-stop' as const, stops },
    geometry: { type: 'Point' as const, coordinates: [lon, lat + north / 111_000] as [number, number] },
  });
  const said = (...others: ReturnType<typeof stop>[]) => farShutOff({ ...map, others }, 'Z-1');
  expect(said(stop('FS-1', -20))).toBeNull();
  expect(said(stop('FS-1', -200, ['Z-2']))).toBeNull();
  expect(said(stop('FS-1', -20), stop('FS-2', -200))).toEqual({
    told: 'spill.far-shut-off',
    values: { places: { list: ['FS-2'] } },
  });
});
