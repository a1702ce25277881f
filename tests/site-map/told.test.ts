import { strToU8, zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import * as z from 'zod';
import { isTold } from '../../src/catalogue/index.ts';
import { checkMap } from '../../src/drainage/index.ts';
import {
  allows,
  explain,
  type ImportOptions,
  importLayers,
  otherFormat,
  parseImportRules,
  parseJson,
  readSiteMap,
  sayProblem,
  siteMapSchema,
} from '../../src/site-map/index.ts';
import { SPANISH } from '../support/english.ts';
import { escaped, unsaid } from '../support/told.ts';

/** Words that the format itself lists, which stand in problems as they are to be written. */
const FORMAT = JSON.stringify(z.toJSONSchema(siteMapSchema));

type Properties = Record<string, unknown>;
const feature = (id: unknown, type: string, coordinates: unknown, properties: Properties) => ({
  type: 'Feature',
  id,
  geometry: { type, coordinates },
  properties,
});
const at = (east: number, north = 0): [number, number] => [-105 + 0.0005 * east, 40 + 0.0005 * north];
const basin = (id: unknown, east: number, more: Properties = {}, kind = 'catch-basin') =>
  feature(id, 'Point', at(east), { kind, ...more });
const pipe = (id: string, [from, to]: [string, string], path: unknown, more: Properties = {}, kind = 'pipe') =>
  feature(id, 'LineString', path, { kind, from, to, ...more });
const square = (east: number, north: number) => [
  at(east, north),
  at(east + 0.5, north),
  at(east + 0.5, north + 0.5),
  at(east, north + 0.5),
  at(east, north),
];
const zone = (id: string, ring: unknown, more: Properties = {}) =>
  feature(id, 'Polygon', [ring], { kind: 'zone', activity: 'parking', ...more });
const mapOf = (features: unknown[], site: Properties = {}) =>
  JSON.stringify({ type: 'FeatureCollection', site: { format: 'oilshed-site', version: 1, ...site }, features });

/** Odd all over, but readable. */
const ODD = mapOf([
  basin('CB-1', 0, { invert: 5.02 }),
  basin('CB-2', 1, { invert: 5.5, Holds: 0.2 }),
  basin('CB-3', 2, { name: 'gate\u202eetag' }),
  basin('Caf\u00e9', 3),
  basin('Cafe\u0301', 4),
  basin('OUT-1', 5, {}, 'outfall'),
  basin('MH-1', 6, { spillsTo: 'CB-9' }, 'manhole'),
  basin('MH-2', 7, { spillsTo: 'Z-1' }, 'manhole'),
  basin('MH-3', 8, { spillsTo: 'cb1' }, 'manhole'),
  basin('MH-4', 9, { spillsTo: '\u0043\u0327-4' }, 'manhole'),
  basin('\u00c7-4', 10, {}, 'manhole'),
  pipe('P-1', ['CB-1', 'CB-2'], [at(0), at(1)], { share: 0.9 }),
  pipe('P-2', ['CB-1', 'CB-2'], [at(0), at(1)], { share: 0.9 }, 'swale'),
  pipe('P-3', ['CB-2', 'CB-1'], [at(0), at(1)], { slope: -0.01, share: 0.2 }, 'overland'),
  pipe('P-4', ['CB-3', 'CB-3'], [at(2), at(3)]),
  pipe('P-5', ['CB-3', 'OUT-1'], [at(2), at(4)]),
  pipe('P-6', ['MH-1', 'OUT-1'], [at(6, 3000), at(5)]),
  zone('Z-1', square(0, 1)),
  zone('Z-2', square(0, 0.02), {
    drainsTo: [
      { to: 'CB-1', share: 0.2 },
      { to: 'CB-2', share: 0.2 },
    ],
  }),
  zone('Z-3', square(3, 1), {
    areaM2: 0,
    drainsTo: [
      { to: 'CB-1', share: 1 },
      { to: 'CB-3', share: 1 },
    ],
  }),
  zone('Z-4', square(0, 0.1)),
  zone('Z-5', square(3, 2).slice(0, 4), { drainsTo: 'CB-3' }),
  feature('STOP-1', 'Point', at(1), { kind: 'fuel-stop', stops: ['Z-9'] }),
  feature('SW-1', 'Point', at(1), { kind: 'pump-switch', stops: ['MH-9', 'MH-1'] }),
  feature('DIV-1', 'Point', at(1), { kind: 'diverter', at: 'MH-1', to: 'MH-1' }),
  basin('V-1', 11, { state: 'unknown' }, 'valve'),
  // A courtyard, with a crew in it.
  feature('B-1', 'Polygon', [square(20, 4), [at(20.1, 4.1), at(20.4, 4.1), at(20.4, 4.4), at(20.1, 4.1)]], {
    kind: 'building',
  }),
  feature('CREW-1', 'Point', at(20.35, 4.2), { kind: 'crew' }),
  feature('LINE', 'LineString', [at(0.5, -1), at(0.5, 1)], { kind: 'property-line' }),
]);

/** Wrong all over. */
const WRONG = mapOf(
  [
    3,
    [],
    {},
    basin('', 0),
    basin('SAME', 0),
    basin('SAME', 1),
    basin('A', 0, { kind: 'moat' }),
    basin('B', 0, { rim: 'high', holds: 1.5, setting: 'hilly', insert: 5, sumpLitres: -1 }),
    basin('C', 0, { plates: 'many' }, 'separator'),
    basin('D', 0, { controls: {} }),
    basin('E', 0, { controls: Array.from({ length: 1001 }, () => 0) }),
    basin('F', 0, { exercised: 'in spring' }, 'valve'),
    basin('G', 0, { stops: [] }, 'fuel-stop'),
    zone('H', square(0, 0), { areaM2: 1e-12, drainsTo: 5, name: {} }),
    feature('I', 'Point', [1], { kind: 'pond' }),
    feature('J', 'LineString', at(0), { kind: 'pond' }),
    feature('K', 'LineString', [at(0)], { kind: 'pipe', from: 'B', to: 'C' }),
    feature('L', 'Point', at(0), { kind: 'pipe', from: 'B', to: 'C' }),
    zone('M', square(0, 0).slice(0, 3)),
    feature('N', 'Polygon', [], { kind: 'zone', activity: 'parking' }),
    feature('O', 'Point', at(0), { kind: 'zone', activity: 'parking' }),
    feature('P', 'Polygon', [square(0, 0)], { kind: 'run-on' }),
    feature('Q', 'Point', at(0), { kind: 'building' }),
    feature(
      'R',
      'LineString',
      Array.from({ length: 10_001 }, () => ['x', 0]),
      { kind: 'pipe', from: 'B', to: 'C' },
    ),
    pipe('V', ['A', ''], [at(0), at(1)]),
    feature('W', 'LineString', [at(0), at(1)], { kind: 'pipe', from: 'A' }),
    ...Array.from({ length: 1001 }, (_, each) => basin(`T-${each}`, 0, { holds: 2 })),
  ],
  { timeZone: 'Mars/Olympus', limits: { pH: 'neutral' } },
);

const KEYS = Array.from({ length: 100_001 }, (_, each) => `"k${each}":0`).join();
const SMALL = JSON.parse(mapOf(['A', 'B', 'C', 'D'].map((id, each) => basin(id, each))));
const moved = (many: number) => {
  const features = SMALL.features.map((each: object, place: number) =>
    place < many ? { ...each, geometry: { type: 'Point', coordinates: [500_000 + place, 4_400_000] } } : each,
  );
  return JSON.stringify({ ...SMALL, features });
};

/** Texts that are refused, or nearly. */
const TEXTS = [
  ODD,
  WRONG,
  mapOf([zone('Z', square(0, 0)), basin('CB', 3000), basin('OUT', 3000.01, {}, 'outfall')]),
  mapOf([basin('A', 0), basin('B', 0), basin('C', 4000)]),
  mapOf([pipe('P', ['A', 'B'], [at(1), at(0)]), basin('A', 0), basin('B', 1)]),
  moved(1),
  moved(4),
  '{',
  '{\n"a": tru}',
  '7',
  `{${'"a":1,'.repeat(30)}"a":1}`,
  'x'.repeat(128_000_001),
  '['.repeat(101),
  `[${'[],'.repeat(3_000_000)}0]`,
  `[${'0,'.repeat(20_000_000)}0]`,
  `{${KEYS}}`,
  `{"type":"FeatureCollection","features":[${'0,'.repeat(500_000)}0]}`,
];

const bytesOf = (...parts: (string | number[])[]) =>
  new Uint8Array(parts.flatMap((part) => (typeof part === 'string' ? [...strToU8(part)] : part)));
const zipOf = (name: string) => zipSync({ [name]: strToU8('x') });
const FILES = [
  bytesOf([0xff, 0xfe]),
  bytesOf([0, 0, 0x27, 0x0a]),
  bytesOf('SQLite format 3\0', new Array<number>(52).fill(1), 'GPKG'),
  bytesOf('SQLite format 3\0'),
  bytesOf('fgb\x03fgb'),
  bytesOf('AC1032'),
  bytesOf('AutoCAD Binary DXF'),
  bytesOf('%PDF-'),
  bytesOf([0x89], 'PNG\r\n'),
  bytesOf([0xff, 0xd8, 0xff]),
  bytesOf('II*\0'),
  bytesOf('GIF8'),
  bytesOf([0xd0, 0xcf, 0x11, 0xe0]),
  bytesOf([0x1f, 0x8b]),
  bytesOf('<html>'),
  bytesOf('<kml>'),
  zipOf('entries.jsonl'),
  zipOf('doc.kml'),
  zipOf('xl/workbook.xml'),
  zipOf('pipes.shp'),
  zipOf('photo.jpg'),
];

/** What schemas of other rooms may ask for, and no map does. */
const OTHER = z.object({
  whole: z.int(),
  word: z.string().max(3),
  few: z.array(z.number()).max(1),
  above: z.number().gt(0),
  below: z.number().lt(5),
  mail: z.email(),
  even: z.number().multipleOf(2),
  either: z.union([z.number(), z.boolean()]),
  when: z.date(),
  strict: z.strictObject({}),
  checked: z.string().refine(() => false),
});
const OTHER_VALUE = {
  whole: 0.5,
  word: 'long word',
  few: [1, 2],
  above: 0,
  below: 5,
  mail: 'nobody',
  even: 3,
  either: 'neither',
  when: 'soon',
  strict: { more: 1 },
  checked: 'never',
};

/** What complains of so much that the stack cannot take it on. */
const OVERFLOWING = z.looseObject({}).refine(() => {
  throw new RangeError('too many arguments');
});

describe('every sentence about a map', () => {
  const read = TEXTS.map((text) => ({ text, problems: checkMap(readSiteMap(text)).problems }));
  const files = FILES.flatMap((bytes) => otherFormat(bytes) ?? []);
  const others = explain(OTHER, OTHER_VALUE, null);
  const tooMany = explain(OVERFLOWING, {}, null);

  test('comes from the catalogue; nothing but ids, fields and values of the file stands beside it', () => {
    const found = read.flatMap(({ text, problems }) => problems.flatMap((each) => escaped(each, text + FORMAT)));
    expect(found).toEqual([]);
    expect(files.flatMap((each) => escaped(each, `KML ${FORMAT}`))).toEqual([]);
    expect(files).toHaveLength(FILES.length);
    expect(others.flatMap((each) => escaped(each, JSON.stringify(OTHER_VALUE) + FORMAT))).toEqual([]);
  });

  test('was said by one of the problems above', () => {
    const problems = [...read.flatMap((each) => each.problems), ...files, ...others, ...tooMany];
    expect(unsaid(problems, ['map', 'drainage'])).toEqual([]);
  });

  test('is none of zod’s own, whatever a schema asks for', () => {
    expect(others.map(({ field }) => field)).toEqual(Object.keys(OTHER_VALUE));
    for (const { message, allowed, cure } of others) expect([message, allowed, cure].map(isTold)).not.toContain(false);
    const own = z.string({ ...allows({ told: 'map.position' }) });
    expect(explain(own, 5, null)[0].allowed).toEqual({ told: 'map.position' });
  });

  test('is not put together before somebody reads it', () => {
    const [problem] = parseJson('{').problems;
    expect(problem.message).toEqual({ told: 'map.breaks-off' });
    expect(sayProblem(problem, SPANISH).message).toBe('no es JSON: se corta antes de terminar');
  });
});

describe('every sentence about an import', () => {
  const point = (coordinates: unknown, properties: Properties = { Type: 2 }, type = 'Point') => ({
    type: 'Feature',
    properties,
    geometry: { type, coordinates },
  });
  const line = (coordinates: unknown, properties: Properties = { Type: 2 }) =>
    point(coordinates, properties, 'LineString');
  const layer = (...features: unknown[]) => ({
    name: 'layer-1',
    text: JSON.stringify({ type: 'FeatureCollection', features }),
  });
  const KINDS = ['2:catch-basin', '8:manhole', '9:outfall', '2:pipe', '4:swale', '6:pond'].map(
    (each) => `Type=${each}`,
  );
  const { problems: badRules, ...rules } = parseImportRules({
    keep: ['Type!=7', 'SystemType'],
    kind: [...KINDS, 'Type=2'],
  });
  const noRules = parseImportRules({ keep: [], kind: ['*:pipe'] });
  const take = (text: ReturnType<typeof layer>, options: Partial<ImportOptions> = {}) =>
    importLayers([text], { ...rules, ...options }).problems;

  const sound = layer(point(at(0)), point(at(1), { Type: 9 }), line([at(0), at(1)]));
  const boundary = (geometry: unknown) => ({ zones: { boundary: { name: 'edge', text: JSON.stringify(geometry) } } });
  const ring = [at(-5, -5), at(5, -5), at(5, 5), at(-5, 5)];
  const m = 0.5 / 55;
  const problems = [
    badRules,
    take({ name: 'layer-1', text: '7' }),
    take(layer()),
    take(
      layer(
        { type: 'Feature', id: 40, properties: { Type: 2 } },
        { type: 'Feature', properties: { Type: 2 }, geometry: {} },
        { type: 'Feature', properties: { Type: 2 }, geometry: { type: 'Point' } },
        point([], { Type: 2 }, 'MultiPoint'),
        point(['x']),
        line([at(0)]),
        line([at(0), 'x']),
        line([at(0), at(0)]),
        line([at(0), [-50, 40]]),
        point([at(0), [400, 0]], { Type: 2 }, 'MultiPoint'),
        point([at(0), ['x']], { Type: 2 }, 'MultiPoint'),
        point([ring], { Type: 2 }, 'Polygon'),
        point(at(3), { Type: 7 }),
        point(at(4), { Type: 3 }),
        ...Array.from({ length: 7 }, () => line([at(0), at(1)], { Type: 3 })),
        ...Array.from({ length: 40 }, (_, each) => point(at(each), { Type: `t${each}` })),
      ),
    ),
    take(layer(...Array.from({ length: 9 }, (_, each) => point([500_000 + each, 4_400_000])))),
    take(layer(point(at(0))), noRules),
    take(
      layer(
        point(at(0)),
        point(at(0)),
        point(at(1), { Type: 8 }),
        point(at(2), { Type: 9 }),
        line([at(0), at(2)]),
        line([at(2), at(3)]),
        line([at(3, 1), at(2 + 0.5 * m)]),
        line([at(4), at(6)]),
        line([at(5), at(5, 1)]),
        line([at(6, 0.5 * m), at(8)]),
        line([at(8.5, 1), at(8)]),
        line([at(0.5 * m), at(9, 3)]),
      ),
    ),
    take(sound, { zones: {} }),
    take(sound, { zones: { radiusM: Number.POSITIVE_INFINITY } }),
    take(sound, boundary({ type: 'Polygon', coordinates: [ring] })),
    take(sound, { zones: { ...boundary({ type: 'Polygon', coordinates: [ring] }).zones, radiusM: 60 } }),
    take(sound, boundary({ type: 'Polygon', coordinates: [square(50, 50)] })),
    take(sound, boundary({ type: 'Point', coordinates: [0, 0] })),
    take(sound, boundary({ type: 'Polygon', coordinates: [[0]] })),
    take(layer(point(at(0)), point(at(40))), boundary({ type: 'Polygon', coordinates: [square(50, 50)] })),
    take(layer(point(at(0), { Type: 8 })), { zones: {} }),
  ].flat();

  test('comes from the catalogue; nothing but ids, fields and values of the layers stands beside it', () => {
    const source = ['layer-1', 'edge', 'SystemType', '*:pipe', ...KINDS].join(' ');
    expect(problems.flatMap((each) => escaped(each, source + FORMAT))).toEqual([]);
  });

  test('was said by one of the problems above', () => {
    // Two rings that no clipping library can join are not known; the name of a zone stands in the map.
    expect(unsaid(problems, ['import'])).toEqual(['import.boundary-not-one', 'import.ground-around']);
  });
});
