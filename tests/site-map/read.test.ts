import { describe, expect, test } from 'vitest';
import { readSiteMap } from '../../src/site-map/index.ts';
import { englishProblems } from '../support/english.ts';
import { yardText } from '../support/yard.ts';

type RawFeature = {
  id: unknown;
  properties: Record<string, unknown>;
  geometry: { type: string; coordinates: unknown } | null;
};

/** A sound yard (Z1, CB-1, OUT-1, P1), changed by hand. */
function changed(change: (features: RawFeature[], site: Record<string, unknown>) => void): string {
  const words = {
    zones: { Z1: { drainsTo: 'CB-1' } },
    structures: { 'CB-1': { kind: 'catch-basin' }, 'OUT-1': { kind: 'outfall' } },
    links: { P1: { from: 'CB-1', to: 'OUT-1' } },
  };
  const file = JSON.parse(yardText(words));
  change(file.features, file.site);
  return JSON.stringify(file);
}

const saidOf = (text: string) => englishProblems(readSiteMap(text).problems);
const placesOf = (text: string) => saidOf(text).map(({ id, field, code }) => [id, field, code]);

describe('reading a site map', () => {
  test('a sound map has no problem and all its parts', () => {
    const { map, problems } = readSiteMap(changed(() => {}));
    expect(problems).toEqual([]);
    expect([map.zones.length, map.structures.length, map.links.length]).toEqual([1, 2, 1]);
  });

  test('every problem comes back at once, with feature, field, found, allowed and cure, and none is only an echo of another', () => {
    const problems = saidOf(
      changed(([zone, basin, outfall, pipe], site) => {
        site.units = 'imperial';
        zone.properties.activity = 'fishing';
        basin.properties.holds = 1.5;
        outfall.id = 7;
        pipe.properties.share = '0.5';
        pipe.properties.to = undefined;
      }),
    );
    expect(problems.map(({ id, field, code }) => [id, field, code])).toEqual([
      [null, 'site.units', 'bad-field'],
      ['Z1', 'activity', 'bad-field'],
      ['CB-1', 'holds', 'bad-field'],
      ['feature 3', 'id', 'bad-field'],
      ['P1', 'to', 'missing-field'],
      ['P1', 'share', 'bad-field'],
    ]);
    for (const { severity, found, allowed, cure } of problems) {
      expect(severity).toBe('error');
      expect(found).toBeTruthy();
      expect(allowed).toBeTruthy();
      expect(cure).toMatch(/^(write|add it)/);
    }
    expect(problems[1]).toMatchObject({ found: '"fishing"', allowed: expect.stringContaining('wash-bay') });
    expect(problems[2]).toMatchObject({ found: '1.5', allowed: 'a number of 1 or less' });
    expect(problems[3]).toMatchObject({ found: '7', allowed: 'a text in quotes' });
  });

  test('an id used twice is named with both places, and an id that is nowhere with its field', () => {
    expect(
      placesOf(
        changed(([, , outfall]) => {
          outfall.id = 'CB-1';
        }),
      ),
    ).toEqual([
      ['CB-1', 'id', 'duplicate-id'],
      ['P1', 'to', 'unknown-id'],
    ]);
    expect(
      placesOf(
        changed(([zone]) => {
          zone.properties.drainsTo = [{ to: 'CB-1' }, { to: 'CB-9' }];
        }),
      ),
    ).toEqual([['Z1', 'drainsTo[1].to', 'unknown-id']]);
    expect(
      saidOf(
        changed(([zone]) => {
          zone.properties.drainsTo = 'P1';
        }),
      )[0].message,
    ).toContain('is no structure');
  });

  test('projected coordinates are told from degrees: in one line when most of the map is off, by name when one feature is', () => {
    const inMetres = changed((features) => {
      for (const { geometry } of features) {
        const scale = (value: unknown): unknown => (Array.isArray(value) ? value.map(scale) : Number(value) * 1000);
        if (geometry) geometry.coordinates = scale(geometry.coordinates);
      }
    });
    expect(placesOf(inMetres)).toEqual([[null, 'geometry.coordinates', 'projected-coordinates']]);
    expect(
      placesOf(
        changed(([, basin]) => {
          basin.geometry = { type: 'Point', coordinates: [500_000, 4_400_000] };
        }),
      ),
    ).toEqual([['CB-1', 'geometry.coordinates', 'projected-coordinates']]);
  });

  test('what is no JSON is told by line and character, and what is cut off as cut off', () => {
    const messageOf = (text: string) => saidOf(text)[0].message;
    expect(messageOf('{\n  "type": "FeatureCollection",\n  type: 1\n}')).toBe(
      'it is not JSON: line 3 goes wrong at character 3',
    );
    expect(messageOf(changed(() => {}).slice(0, 300))).toBe('it is not JSON: it breaks off before its end');
  });

  test.each([
    ['empty text', '', 'not-json'],
    ['cut off', changed(() => {}).slice(0, 300), 'not-json'],
    ['a number', '7', 'not-a-site-map'],
    ['null', 'null', 'not-a-site-map'],
    ['a list', '[]', 'not-a-site-map'],
    ['no features', '{"type":"FeatureCollection"}', 'not-a-site-map'],
    ['features that are no list', '{"type":"FeatureCollection","features":{}}', 'not-a-site-map'],
  ])('%s is refused with its reason', (_, text, code) => {
    const { problems } = readSiteMap(text);
    expect(problems.map((each) => each.code)).toEqual([code]);
  });

  test('features that are no features, and a missing site, are problems of their own', () => {
    const text = JSON.stringify({
      type: 'FeatureCollection',
      features: [null, 3, [], {}, { type: 'Feature', id: 'A', properties: { kind: 'moat' } }],
    });
    expect(placesOf(text)).toEqual([
      [null, 'site', 'missing-field'],
      ['feature 1', null, 'bad-field'],
      ['feature 2', null, 'bad-field'],
      ['feature 3', null, 'bad-field'],
      ['feature 4', 'kind', 'unknown-kind'],
      ['A', 'kind', 'unknown-kind'],
    ]);
  });

  test('a newer version and an unknown time zone are refused by name', () => {
    const { problems } = readSiteMap(
      changed((_, site) => {
        site.version = 2;
      }),
    );
    expect(problems).toMatchObject([{ field: 'site.version', found: '2', allowed: '1' }]);
    expect(
      placesOf(
        changed((_, site) => {
          site.timeZone = 'Mars/Olympus';
        }),
      ),
    ).toEqual([[null, 'site.timeZone', 'bad-time-zone']]);
  });

  test('numbers that JSON turns into infinity are refused', () => {
    const text = changed(() => {}).replace('"drainsTo":"CB-1"', '"drainsTo":"CB-1","areaM2":1e999');
    expect(placesOf(text)).toEqual([['Z1', 'areaM2', 'bad-field']]);
  });

  test('names from the object prototype are no kinds and no ids', () => {
    const hostile = (kind: string) =>
      changed(([zone]) => {
        zone.properties.kind = kind;
      });
    for (const kind of ['__proto__', 'constructor', 'toString'])
      expect(placesOf(hostile(kind))).toContainEqual(['Z1', 'kind', 'unknown-kind']);
    expect(
      placesOf(
        changed(([zone]) => {
          zone.properties.drainsTo = 'constructor';
        }),
      ),
    ).toEqual([['Z1', 'drainsTo', 'unknown-id']]);
  });

  test('a file with a byte order mark is read', () => {
    expect(readSiteMap(`\uFEFF${changed(() => {})}`).problems).toEqual([]);
  });
});

describe('where a zone drains to', () => {
  const zoneAt = (coordinates: number[][]) =>
    changed(([zone]) => {
      zone.properties.drainsTo = undefined;
      zone.geometry = { type: 'Polygon', coordinates: [coordinates] };
    });
  const square = (lon: number, lat: number, size: number) => [
    [lon, lat],
    [lon + size, lat],
    [lon + size, lat + size],
    [lon, lat + size],
    [lon, lat],
  ];

  test('left out, it is the basins inside the zone, in equal shares', () => {
    const { map, problems } = readSiteMap(zoneAt(square(-105.0002, 39.9998, 0.0004)));
    expect(map.zones[0].inlets).toEqual([{ to: 'CB-1', share: 1 }]);
    expect(problems).toEqual([]);
  });

  test('with none inside, it is the nearest within 40 m of the edge, with a warning', () => {
    // CB-1 stands at 105° W, 40° N; 0.0004° of latitude are 44.4 m.
    const near = readSiteMap(zoneAt(square(-105.0002, 40.0003, 0.0004)));
    expect(near.map.zones[0].inlets).toEqual([{ to: 'CB-1', share: 1 }]);
    expect(near.problems).toMatchObject([{ code: 'inlet-guessed', severity: 'warning', id: 'Z1' }]);
    const far = readSiteMap(zoneAt(square(-105.0002, 40.0004, 0.0004)));
    expect(far.map.zones[0].inlets).toEqual([]);
    expect(far.problems).toMatchObject([{ code: 'no-inlet', severity: 'warning', id: 'Z1' }]);
  });
});
