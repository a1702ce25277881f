import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { findBlocks } from '../src/block/index.ts';
import { checkMap, compileDrainage, oilshed } from '../src/drainage/index.ts';
import { hasErrors, type Problem, readSiteMap, writeSiteMap } from '../src/site-map/index.ts';
import { findSources, learnRates, readFindings } from '../src/sources/index.ts';
import { findSpill } from '../src/spill/index.ts';
import { findUpkeep } from '../src/upkeep/index.ts';
import { englishProblems } from './support/english.ts';
import { yardText } from './support/yard.ts';

const yards = readdirSync('site-maps')
  .filter((name) => name.endsWith('.geojson'))
  .map((name) => ({
    name,
    text: readFileSync(`site-maps/${name}`, 'utf8'),
    findings: readFileSync(`site-maps/${name.replace('.geojson', '.findings.json')}`, 'utf8'),
  }));

/** Values that nobody expects in a map. */
const HOSTILE = [
  null,
  true,
  '',
  'x',
  '__proto__',
  '<script>alert(1)</script>',
  "'; DROP TABLE zones; --",
  -1,
  0,
  1e308,
  1.5,
  [],
  {},
  [[]],
  [null],
  { to: null },
  '\u0000\u202e',
  'Z1',
  'SEP-1',
  'zone',
  'outfall',
  5e-324,
  -0,
];

type Change = { path: number[]; kind: 'put' | 'drop' | 'twice' | 'swap'; value: unknown };
const changes = fc.record({
  path: fc.array(fc.nat(1_000_000), { minLength: 1, maxLength: 7 }),
  kind: fc.constantFrom('put', 'put', 'put', 'drop', 'twice', 'swap') as fc.Arbitrary<Change['kind']>,
  value: fc.constantFrom<unknown>(...HOSTILE),
});

/** Walks down by the numbers of the path and changes what it meets at the end. */
function mutate(root: unknown, { path, kind, value }: Change): void {
  let holder: Record<string, unknown> | unknown[] = root as Record<string, unknown>;
  for (const [depth, turn] of path.entries()) {
    const keys = Object.keys(holder);
    if (keys.length === 0) return;
    const key = keys[turn % keys.length] as keyof typeof holder;
    const next = (holder as Record<PropertyKey, unknown>)[key];
    if (depth < path.length - 1 && typeof next === 'object' && next !== null) {
      holder = next as Record<string, unknown>;
      continue;
    }
    if (kind === 'put') (holder as Record<PropertyKey, unknown>)[key] = structuredClone(value);
    else if (kind === 'drop' && !Array.isArray(holder)) delete holder[key as string];
    else if (Array.isArray(holder)) holder.push(structuredClone(kind === 'twice' ? next : holder[0]));
    return;
  }
}

function expectWhole(problems: readonly Problem[]): void {
  for (const { code, severity, message, cure } of englishProblems(problems)) {
    expect([code, severity, message, cure].every((part) => typeof part === 'string' && part !== '')).toBe(true);
  }
}

/** Asks everything of a map and its findings; comes back with how far it got. */
function askEverything(text: string, findingsText: string): 'refused' | 'answered' {
  const reading = readSiteMap(text);
  const report = checkMap(reading);
  expectWhole(report.problems);
  JSON.stringify(report);
  if (hasErrors(reading.problems)) return 'refused';
  expect(readSiteMap(writeSiteMap(reading.map.file)).problems.filter(({ severity }) => severity === 'error')).toEqual(
    [],
  );
  const drainage = compileDrainage(reading.map);
  for (const { id } of reading.map.structures) {
    for (const { delivered } of oilshed(drainage, id)) expect(delivered >= 0 && delivered <= 1 + 1e-9).toBe(true);
  }
  for (const { id } of reading.map.zones.slice(0, 4)) {
    const { answer } = findBlocks(drainage, { place: { zone: id }, litres: 50 });
    expect(Number.isFinite(answer?.plan.totalCost)).toBe(true);
  }
  const { findings, problems } = readFindings(findingsText, reading.map);
  expectWhole(problems);
  const { answer, problems: more } = findSources(drainage, findings);
  expectWhole(more);
  if (answer) {
    const total = answer.zones.reduce((sum, { share }) => sum + share, answer.unmapped.share);
    expect(total).toBeCloseTo(1, 6);
  } else expect(hasErrors(more)).toBe(true);
  return 'answered';
}

describe.each(yards)('$name, changed at random', ({ text, findings }) => {
  test('every map is answered or refused with whole problems, and nothing throws', () => {
    const outcomes = { refused: 0, answered: 0 };
    fc.assert(
      fc.property(fc.array(changes, { minLength: 1, maxLength: 4 }), (all) => {
        const file = JSON.parse(text);
        for (const change of all) mutate(file, change);
        outcomes[askEverything(JSON.stringify(file), findings)]++;
      }),
      { seed: 61, numRuns: 120 },
    );
    // Both ends must come up, or the changes test nothing.
    expect(outcomes.refused).toBeGreaterThan(10);
    expect(outcomes.answered).toBeGreaterThan(10);
  }, 120_000);

  test('findings, changed at random, are answered or refused with whole problems', () => {
    fc.assert(
      fc.property(fc.array(changes, { minLength: 1, maxLength: 4 }), (all) => {
        const file = JSON.parse(findings);
        for (const change of all) mutate(file, change);
        const { map } = readSiteMap(text);
        expectWhole(readFindings(JSON.stringify(file), map).problems);
      }),
      { seed: 62, numRuns: 300 },
    );
  });

  test('a file cut off anywhere is refused in one line', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: text.trimEnd().length - 1 }), (length) => {
        const { problems } = readSiteMap(text.slice(0, length));
        expect(problems.map(({ code }) => code)).toEqual(['not-json']);
      }),
      { seed: 63, numRuns: 60 },
    );
  });
});

/** Where numbers in an answer are not numbers. One says by Infinity that no depth of water is left, and no drop rises. */
function endless(value: unknown, path = ''): string[] {
  if (path.endsWith('.smallestCaughtUm')) return Number.isNaN(value) ? [`${path} is NaN`] : [];
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [`${path} is ${value}`];
  if (typeof value !== 'object' || value === null) return [];
  const inner = value instanceof Map ? [...value] : Object.entries(value);
  return inner.flatMap(([key, each]) => endless(each, `${path}.${key}`));
}

describe('the smallest and the largest numbers there are', () => {
  const NUMBERS = ['5e-324', '1e-320', '-0', '1e-300', '1e-12', '1e-6', '1e308', '-1e308'];
  const yard = {
    site: { odds: { releaseLitres: 2 }, walking: {}, costs: {} },
    zones: {
      Z1: { drainsTo: 'CB-1', fluids: [{ fluid: 'diesel' }] },
      Z2: { drainsTo: 'CB-2', oilLitresPerYear: 3 },
    },
    structures: {
      'CB-1': { kind: 'catch-basin', insert: { holds: 0.5 } },
      'CB-2': { kind: 'catch-basin' },
      'SEP-1': { kind: 'separator', lengthM: 3, widthM: 1, waterDepthM: 1, designFlowLps: 20 },
      'OUT-1': { kind: 'outfall' },
    },
    links: { P1: { from: 'CB-1', to: 'SEP-1' }, P2: { from: 'CB-2', to: 'SEP-1' }, P3: { from: 'SEP-1', to: 'OUT-1' } },
  };
  const found = {
    format: 'oilshed-findings',
    version: 1,
    findings: [
      { id: 'F1', at: 'SEP-1', since: '2026-03-01', seenAt: '2026-05-30', amount: { thicknessMm: 3, areaM2: 2 } },
      { id: 'F2', at: 'CB-2', since: '2026-03-01', seenAt: '2026-05-30', seen: 'clean' },
    ],
  };
  const features: Record<string, string[]> = {
    Z1: ['areaM2', 'slope', 'runoffC', 'weight', 'oilLitresPerYear', 'yieldFactor'],
    'CB-1': ['rim', 'invert', 'holds', 'cleanupCost'],
    'SEP-1': [
      'lengthM',
      'widthM',
      'waterDepthM',
      'designFlowLps',
      'oilLimitMm',
      'sludgeLimitMm',
      'packLitres',
      'holds',
    ],
    P1: ['diameterMm', 'slope', 'fromInvert', 'toInvert', 'roughness', 'lengthM', 'share'],
  };
  const MARK = '"HERE"';
  const mapsWith = Object.entries(features).flatMap(([id, fields]) =>
    fields.map((field) => {
      const map = JSON.parse(yardText(yard));
      const feature = map.features.find((each: { id: string }) => each.id === id);
      feature.properties[field] = 'HERE';
      return { name: `${id}.${field}`, map: JSON.stringify(map), findings: JSON.stringify(found) };
    }),
  );
  const AMOUNT = ['thicknessMm', 'areaM2', 'factor'];
  const findingsWith = ['thicknessMm', 'areaM2', 'factor', 'noticeLitres', 'misread', 'rainMm', 'sludgeMm'].map(
    (field) => {
      const [first, second] = structuredClone(found.findings);
      Object.assign(AMOUNT.includes(field) ? (first.amount ?? {}) : first, { [field]: 'HERE' });
      return { name: field, map: yardText(yard), findings: JSON.stringify({ ...found, findings: [first, second] }) };
    },
  );
  test.each([...mapsWith, ...findingsWith])('in $name give an answer or a named problem', ({ map, findings: text }) => {
    for (const number of NUMBERS) {
      const reading = readSiteMap(map.replace(MARK, number));
      expectWhole(reading.problems);
      checkMap(reading);
      if (hasErrors(reading.problems)) continue;
      const drainage = compileDrainage(reading.map);
      const { findings, problems } = readFindings(text.replace(MARK, number), reading.map);
      expectWhole(problems);
      const place = { zone: 'Z1' };
      const answers = {
        shed: oilshed(drainage, 'SEP-1'),
        block: findBlocks(drainage, { place, litres: 50 }).answer,
        spill: findSpill(drainage, { place, litres: 50, rainMmPerH: 10 }).answer,
        upkeep: findUpkeep(drainage, findings, { rainMmPerH: 10 }).answer,
        sources: findSources(drainage, findings).answer,
        learned: findings.length > 0 ? learnRates(drainage, findings) : [],
      };
      expect([number, endless(answers)]).toEqual([number, []]);
    }
  });
});

describe('made to hurt', () => {
  const collection = (features: unknown[]) =>
    JSON.stringify({ type: 'FeatureCollection', site: { format: 'oilshed-site', version: 1 }, features });
  const basin = (id: string) => ({
    type: 'Feature',
    id,
    properties: { kind: 'catch-basin' },
    geometry: { type: 'Point', coordinates: [0, 0] },
  });
  const pipe = (id: string, from: string, to: string) => ({
    type: 'Feature',
    id,
    properties: { kind: 'pipe', from, to },
    geometry: {
      type: 'LineString',
      coordinates: [
        [0, 0],
        [0, 1e-5],
      ],
    },
  });

  test('brackets 100,000 deep are read or refused, not obeyed', () => {
    const { problems } = readSiteMap('['.repeat(100_000) + ']'.repeat(100_000));
    expect(problems.map(({ code }) => code)).toEqual(['too-deep']);
    const deep = `{"a":${'['.repeat(50_000)}${']'.repeat(50_000)}}`;
    const text = collection([{ ...basin('A'), properties: { kind: 'catch-basin', deep: 'HERE' } }]).replace(
      '"HERE"',
      deep,
    );
    expect(() => checkMap(readSiteMap(text))).not.toThrow();
  });

  test('figures beyond any yard are refused by name, so that no answer is endless or infinite', () => {
    const zone = (more: object) => ({
      type: 'Feature',
      id: 'Z',
      properties: { kind: 'zone', activity: 'parking', drainsTo: 'A', ...more },
      geometry: {
        type: 'Polygon',
        coordinates: [
          [
            [0, 0],
            [1e-3, 0],
            [0, 1e-3],
            [0, 0],
          ],
        ],
      },
    });
    for (const more of [{ weight: 1e308 }, { oilLitresPerYear: 1e308 }, { yieldFactor: 1e308 }, { areaM2: 1e308 }]) {
      const [field] = Object.keys(more);
      expect(readSiteMap(collection([basin('A'), zone(more)])).problems).toMatchObject([
        { code: 'bad-field', id: 'Z', field },
      ]);
    }
    expect(readSiteMap(collection([basin('A'), zone({ areaM2: 0 })])).problems).toEqual([]);
  });

  test('a text that is too long is refused before it is parsed', () => {
    const { problems } = readSiteMap(' '.repeat(128_000_001));
    expect(problems.map(({ code }) => code)).toEqual(['too-large']);
  });

  test('what is wrong in millions of places is told in bounds, and nothing runs out of memory or stack', () => {
    const zone = (coordinates: string, properties = '') =>
      `{"type":"Feature","id":"Z","properties":{"kind":"zone","activity":"parking"${properties}},"geometry":{"type":"Polygon","coordinates":${coordinates}}}`;
    const file = (features: string, site = '') =>
      `{"type":"FeatureCollection","site":{"format":"oilshed-site","version":1${site}},"features":[${features}]}`;
    const many = (text: string, count = 2_500_000) => Array(count).fill(text).join();
    const square = '[[[0,0],[0,1],[1,1],[0,0]]]';
    const bad: [code: string, field: string | null, text: string][] = [
      ['bad-field', 'geometry.coordinates[0][1]', file(zone(`[[[0,0],${many('["a"]')}]]`))],
      ['bad-field', 'geometry.coordinates[0]', file(zone(`[${many('[]')}]`))],
      ['bad-field', 'controls', file(zone(square, `,"controls":[${many('{}')}]`))],
      ['bad-field', 'site.contacts', file(zone(square), `,"contacts":[${many('{}')}]`)],
      ['too-large', null, file(many('{}'))],
    ];
    for (const [code, field, text] of bad)
      expect(readSiteMap(text).problems.filter(({ severity }) => severity === 'error')).toMatchObject([
        { code, field },
      ]);
    // As many warnings as zones, none of them lost.
    const zones = Array.from({ length: 150_000 }, (_, at) => zone(square).replace('"Z"', `"Z${at}"`));
    expect(readSiteMap(file(zones.join())).problems.filter(({ code }) => code === 'no-inlet')).toHaveLength(150_000);
  }, 120_000);

  test('a ring of 300,000 positions is read', () => {
    const ring = Array.from({ length: 300_000 }, (_, at) => [-105 + (at % 1000) * 1e-6, 40 + at * 1e-9]);
    ring.push(ring[0]);
    const zone = {
      type: 'Feature',
      id: 'Z',
      properties: { kind: 'zone', activity: 'parking' },
      geometry: { type: 'Polygon', coordinates: [ring] },
    };
    expect(readSiteMap(collection([zone])).map.zones).toHaveLength(1);
  });

  test('the same problem in 5,000 features is listed 1,000 times and then counted', () => {
    const { problems } = readSiteMap(
      collection(Array.from({ length: 5_000 }, (_, at) => ({ type: 'Feature', id: `A${at}` }))),
    );
    expect(problems).toHaveLength(1_001);
    expect(englishProblems(problems)[1_000]).toMatchObject({
      code: 'unknown-kind',
      id: 'A4999',
      message: expect.stringContaining('4,000 features after the first 1,000'),
    });
  });

  test('2,000 zones without an inlet of their own find theirs among 2,000 basins', () => {
    const at = (place: number) => [-105 + 0.001 * (place % 50), 40 + 0.001 * Math.floor(place / 50)];
    const basins = Array.from({ length: 2_000 }, (_, place) => ({
      ...basin(`CB${place}`),
      geometry: { type: 'Point', coordinates: at(place) },
    }));
    const zones = Array.from({ length: 2_000 }, (_, place) => {
      const [lon, lat] = at(place);
      const edge = 0.0002;
      const ring = [
        [lon - edge, lat - edge],
        [lon + edge, lat - edge],
        [lon + edge, lat + edge],
        [lon - edge, lat + edge],
        [lon - edge, lat - edge],
      ];
      return {
        type: 'Feature',
        id: `Z${place}`,
        properties: { kind: 'zone', activity: 'parking' },
        geometry: { type: 'Polygon', coordinates: [ring] },
      };
    });
    const { map } = readSiteMap(collection([...basins, ...zones]));
    expect(map.zones.map(({ inlets }) => inlets[0]?.to)).toEqual(basins.map(({ id }) => id));
  });

  test('a chain of 20,000 structures, one loop of 5,000 and a knot of 250 that all lead to each other are checked', () => {
    const ids = Array.from({ length: 20_000 }, (_, at) => `C${at}`);
    const chain = ids.slice(1).map((id, at) => pipe(`P${at}`, ids[at], id));
    expect(checkMap(readSiteMap(collection([...ids.map(basin), ...chain]))).deadEnds).toEqual(['C19999']);
    const circle = [...chain.slice(0, 4_999), pipe('back', 'C4999', 'C0')];
    const { loops } = checkMap(readSiteMap(collection([...ids.slice(0, 5_000).map(basin), ...circle])));
    expect(loops.map((loop) => loop.length)).toEqual([5_000]);
    const knot = ids
      .slice(0, 250)
      .flatMap((from) => ids.slice(0, 250).flatMap((to) => (from === to ? [] : [pipe(`${from}-${to}`, from, to)])));
    const reading = readSiteMap(collection([...ids.slice(0, 250).map(basin), ...knot]));
    expect(checkMap(reading).loops.map((loop) => loop.length)).toEqual([250]);
  });
});
