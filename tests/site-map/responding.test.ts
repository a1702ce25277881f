import { describe, expect, test } from 'vitest';
import { checkSiteMap } from '../../src/site-map/index.ts';
import { englishProblems } from '../support/english.ts';
import { type YardWords, yardMap } from '../support/yard.ts';

const feature = (id: string, properties: object, geometry: object = { type: 'Point', coordinates: [-105, 40] }) => ({
  type: 'Feature',
  id,
  properties,
  geometry,
});
const kit = feature('KIT-1', { kind: 'kit' }, { type: 'Point', coordinates: [-105.001, 40] });
const crew = feature('CREW-1', { kind: 'crew' });

/** What is said of a yard with these structures and features: code, id, field, message, found, allowed, cure. */
function said(others: unknown[], structures: YardWords['structures'] = {}) {
  const map = yardMap({ zones: {}, structures: { 'MH-1': { kind: 'manhole' }, ...structures }, others });
  return englishProblems(checkSiteMap(map)).map(({ severity, ...rest }) => {
    expect(severity).toBe('warning');
    return rest;
  });
}

describe('what would spoil a response to a spill', () => {
  test('nothing is said of a yard where all of it fits', () => {
    const structures = {
      'MH-2': { kind: 'manhole', pumped: { lps: 5 } },
      'V-1': { kind: 'valve', state: 'open' },
      'V-2': { kind: 'valve' },
    };
    const others = [
      crew,
      kit,
      feature('PS-1', { kind: 'pump-switch', stops: ['MH-2'] }),
      feature('DV-1', { kind: 'diverter', at: 'MH-1', to: 'MH-2' }),
    ];
    expect(said(others, structures)).toEqual([]);
  });

  test('a switch for a manhole without a pump, and a diverter that leads to itself', () => {
    const structures = { 'MH-2': { kind: 'manhole', pumped: { lps: 5 } } };
    const others = [
      feature('PS-1', { kind: 'pump-switch', stops: ['MH-2', 'MH-1'] }),
      feature('DV-1', { kind: 'diverter', at: 'MH-1', to: 'MH-1' }),
    ];
    expect(said(others, structures)).toEqual([
      {
        code: 'no-pump',
        id: 'PS-1',
        field: 'stops[1]',
        message: 'it turns off the pump of MH-1, and no pump is stated there; it is taken to stop nothing',
        found: 'MH-1',
        allowed: 'the id of a manhole with "pumped"',
        cure: 'state "pumped" at MH-1, or write the manhole that has the pump',
      },
      {
        code: 'self-link',
        id: 'DV-1',
        field: 'to',
        message: 'it sends what comes to MH-1 to MH-1 itself, so it changes nothing',
        cure: 'write the structure it really leads to, or delete it',
      },
    ]);
  });

  test('a valve of which nobody knows how it stands, and what is assumed of it', () => {
    const [valve, ...more] = said([], { 'V-1': { kind: 'valve', state: 'unknown' } });
    expect(more).toEqual([]);
    expect(valve).toMatchObject({ code: 'valve-unknown', id: 'V-1', field: 'state', found: 'unknown' });
    expect(valve.message).toBe('nobody knows whether it is open or closed; it is taken to be open');
  });

  test('crews and no kit anywhere: said once, and what is assumed', () => {
    const problems = said([crew, { ...crew, id: 'CREW-2' }]);
    expect(problems).toMatchObject([{ code: 'no-kit', id: 'CREW-1' }]);
    expect(said([kit])).toEqual([]);
  });

  test('a crew post in a courtyard, which nobody can leave; inside a building one leaves through a wall', () => {
    const ring = (half: number) => [
      [-105 - half, 40 - half],
      [-105 + half, 40 - half],
      [-105 + half, 40 + half],
      [-105 - half, 40 + half],
      [-105 - half, 40 - half],
    ];
    const structures = { 'MH-9': { kind: 'manhole' } };
    const building = (...rings: number[]) =>
      feature('B-1', { kind: 'building' }, { type: 'Polygon', coordinates: rings.map(ring) });
    // MH-1 stands at the post's own place, so it is put elsewhere: the yard's second structure stands 43 m east.
    const ask = (walls: object) => {
      const map = yardMap({ zones: {}, structures, others: [crew, kit, walls] });
      const away = { ...map, structures: map.structures.map((each) => ({ ...each, position: [-104.999, 40] })) };
      return checkSiteMap(away).map(({ code, id }) => [code, id]);
    };
    expect(ask(building(0.0002, 0.0001))).toEqual([['no-way', 'CREW-1']]);
    expect(ask(building(0.0002))).toEqual([]);
  });
});
