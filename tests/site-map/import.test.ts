import { existsSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { intersection } from 'polyclip-ts';
import { describe, expect, test } from 'vitest';
import { isInside } from '../../src/algorithms/index.ts';
import { checkMap } from '../../src/drainage/index.ts';
import {
  areaOf,
  type Imported,
  type ImportOptions,
  importLayers,
  isLinkKind,
  isStructureKind,
  lengthOf,
  metreFrame,
  type Point,
  type Problem,
  parseImportRules,
  polygonsOf,
  type Reading,
  readSiteMap,
  writeSiteMap,
} from '../../src/site-map/index.ts';
import { english, englishProblems } from '../support/english.ts';

const FRAME = metreFrame([-105, 40]);
/** A place so many metres east and north of the middle. */
const at = (x: number, y = 0): number[] => FRAME.toPosition([x, y]);

type Properties = Record<string, unknown> | null;
const point = (coordinates: unknown, properties: Properties = { Type: 2 }, id?: unknown) => ({
  type: 'Feature',
  ...(id === undefined ? {} : { id }),
  properties,
  geometry: { type: 'Point', coordinates },
});
const line = (coordinates: unknown, properties: Properties = { Type: 2 }, id?: unknown) => ({
  type: 'Feature',
  ...(id === undefined ? {} : { id }),
  properties,
  geometry: { type: 'LineString', coordinates },
});
const collection = (...features: unknown[]) => JSON.stringify({ type: 'FeatureCollection', features });

const KINDS = ['Type=2:catch-basin,8:manhole,9:outfall,2:pipe,4:swale'];
const rules = (kind: string[] = KINDS, keep: string[] = []) => {
  const { problems, ...read } = parseImportRules({ keep, kind });
  expect(problems).toEqual([]);
  return read;
};

/** Imports features as one layer, and holds that what comes out can be read again and nothing is lost on the way. */
function take(features: unknown[], options: Partial<ImportOptions> = {}): Imported & { reading: Reading } {
  return takeTexts([collection(...features)], options);
}

function takeTexts(texts: string[], options: Partial<ImportOptions> = {}): Imported & { reading: Reading } {
  const layers = texts.map((text, place) => Object.freeze({ name: `layer-${place + 1}`, text }));
  const imported = importLayers(layers, { ...rules(), ...options });
  const reading = readSiteMap(writeSiteMap(imported.file));
  expect(reading.problems).toEqual([]);
  expect(imported.counts.taken + imported.counts.leftOut).toBe(imported.counts.read);
  return { ...imported, reading };
}

const withCode = (problems: readonly Problem[], code: string) =>
  englishProblems(problems.filter((each) => each.code === code));
const guesses = ({ problems }: Imported) =>
  withCode(problems, 'import-guess').map(({ id, message }) => `${id}: ${message}`);
const linksOf = ({ reading }: { reading: Reading }) => reading.map.links.map(({ id, from, to }) => [id, from, to]);
const structuresOf = ({ reading }: { reading: Reading }) => reading.map.structures.map(({ id }) => id);

describe('the rules of what is taken', () => {
  test('one --kind may speak of points and lines, for the word after the colon decides', () => {
    expect(rules(['Type=2:catch-basin, 4 : swale'])).toEqual({
      keep: [],
      kinds: [
        { property: 'Type', value: '2', kind: 'catch-basin' },
        { property: 'Type', value: '4', kind: 'swale' },
      ],
    });
    const imported = take([point(at(0)), line([at(0), at(20)])]);
    expect(structuresOf(imported)).toEqual(['CB-1', 'OUT-X1']);
    expect(linksOf(imported)).toEqual([['P-2', 'CB-1', 'OUT-X1']]);
  });

  test('a star is any value, and needs no property', () => {
    expect(rules(['*:pipe', 'Type=*:manhole']).kinds).toEqual([
      { property: null, value: null, kind: 'pipe' },
      { property: 'Type', value: null, kind: 'manhole' },
    ]);
    const { counts } = take([point(at(0), null), line([at(0), at(9)], {})], rules(['*:pipe', '*:catch-basin']));
    expect(counts).toMatchObject({ taken: 2, structures: 2, links: 1 });
  });

  test('a value with a comma or a colon stands in double quotes', () => {
    expect(rules(['Art="a, b":pond,"c:d":valve']).kinds).toEqual([
      { property: 'Art', value: 'a, b', kind: 'pond' },
      { property: 'Art', value: 'c:d', kind: 'valve' },
    ]);
  });

  test('a rule that cannot be read is a problem that says what is allowed, and the others still count', () => {
    const kind = ['Type=2', 'Type=2:catchbasin', '=2:pipe', '2:pipe', '', 'Type=:pond'];
    const { problems, kinds } = parseImportRules({ keep: ['SystemType', '=x', '!=x', 'A!=b,c'], kind });
    expect(problems.map(({ code, field, found }) => [code, field, found])).toEqual([
      ['bad-field', '--keep', '"SystemType"'],
      ['bad-field', '--keep', '"=x"'],
      ['bad-field', '--keep', '"!=x"'],
      ['bad-field', '--kind', '"Type=2"'],
      ['bad-field', '--kind', '"Type=2:catchbasin"'],
      ['bad-field', '--kind', '"=2:pipe"'],
      ['bad-field', '--kind', '"2:pipe"'],
      ['bad-field', '--kind', '""'],
    ]);
    expect(problems.every(({ allowed, cure }) => allowed && english(cure).startsWith('write '))).toBe(true);
    expect(kinds).toEqual([{ property: 'Type', value: '', kind: 'pond' }]);
  });

  test('all keep rules must hold; values may be listed, excluded or empty', () => {
    const systems = ['Storm', 'Sewer', 'Both', null].map((System, x) =>
      point(at(10 * x), { System, Type: 2, Status: x === 2 ? 'Proposed' : 'Existing' }),
    );
    const taken = (...keep: string[]) => take(systems, rules(KINDS, keep)).counts.taken;
    expect(taken()).toBe(4);
    expect(taken('System=Storm')).toBe(1);
    expect(taken('System=Storm,Both')).toBe(2);
    expect(taken('System!=Sewer')).toBe(3);
    expect(taken('System=')).toBe(1);
    expect(taken('System=Storm,Both', 'Status!=Proposed')).toBe(1);
  });

  test('blanks around property names and values do not count', () => {
    const { counts } = take([point(at(0), { 'Type ': ' 2 ' }), point(at(9), { Type: '2' })]);
    expect(counts.structures).toBe(2);
  });

  test('what is left out is listed by reason with its count and its first features', () => {
    const loose = Array.from({ length: 7 }, (_, x) => point(at(x), { Type: 12 }, 40 + x));
    const { problems, counts } = take([...loose, point(at(50)), line([at(0), at(9)], { Type: 5 })]);
    expect(counts).toMatchObject({ read: 9, taken: 1, leftOut: 8 });
    expect(withCode(problems, 'import-left-out').map(({ id, message, found }) => [id, message, found])).toEqual([
      [
        'layer-1',
        '7 points left out: Type is "12", and no --kind rule takes that',
        'layer-1 id 40, layer-1 id 41, layer-1 id 42, layer-1 id 43, layer-1 id 44 and 2 more',
      ],
      ['layer-1', '1 line left out: Type is "5", and no --kind rule takes that', 'layer-1 feature 9'],
    ]);
  });

  test('many reasons are summed up, and their counts still add up to everything left out', () => {
    const { problems, counts } = take(Array.from({ length: 80 }, (_, x) => point(at(x), { Type: `t${x}` })));
    const notes = withCode(problems, 'import-left-out');
    expect(notes.length).toBe(31);
    expect(notes.reduce((sum, { message }) => sum + Number.parseInt(english(message), 10), 0)).toBe(counts.leftOut);
  });

  test('a rule that no feature meets is said', () => {
    const { problems } = take([point(at(0))], rules(['Type=2:catch-basin,77:pond,4:swale']));
    expect(withCode(problems, 'unused-rule').map(({ found }) => found)).toEqual(['Type=77:pond', 'Type=4:swale']);
  });

  test('points and lines may stand in any file, mixed', () => {
    const [a, b, c] = [point(at(0), { Type: 2 }, 1), line([at(0), at(20)], { Type: 2 }, 1), point(at(20), { Type: 9 })];
    const expected = [['P-1', 'CB-1', 'OUT-1']];
    for (const texts of [
      [collection(a), collection(c, b)],
      [collection(b), collection(c), collection(a)],
    ]) {
      expect(linksOf(takeTexts(texts))).toEqual(expected);
    }
  });
});

describe('where lines meet', () => {
  test('an end within the tolerance is moved onto the nearest structure, and one beyond it is not', () => {
    const basins = [point(at(0)), point(at(0.9))];
    const near = take([...basins, line([at(0.3, 0.2), at(40)])]);
    expect(linksOf(near)).toEqual([['P-3', 'CB-1', 'OUT-X1']]);
    expect(near.reading.map.links[0].path[0]).toEqual(at(0));
    expect(guesses(near)[1]).toBe('P-3: its start was moved 0.36 m onto CB-1; up to 0.5 m was taken as meeting');
    const far = take([...basins, line([at(0, 0.51), at(40)])]);
    expect(linksOf(far)).toEqual([['P-3', 'MH-X1', 'OUT-X1']]);
    expect(far.reading.map.links[0].path).toEqual([at(0, 0.51), at(40)]);
    expect(linksOf(take([...basins, line([at(0, 0.51), at(40)])], { snapM: 0.6 }))[0][1]).toBe('CB-1');
  });

  test('ends that meet share one made manhole, also through a chain of ends, in any order of the lines', () => {
    const lines = [
      line([at(-40), at(0)], { Type: 2 }, 'a'),
      line([at(0.4), at(40)], { Type: 4 }, 'b'),
      line([at(0.8), at(0, 40)], { Type: 2 }, 'c'),
    ];
    for (const features of [lines, lines.toReversed()]) {
      const imported = take(features);
      const { links } = imported.reading.map;
      const [into, on, off] = ['P-a', 'S-b', 'P-c'].map((id) => links.find((link) => link.id === id));
      expect([on?.from, off?.from]).toEqual([into?.to, into?.to]);
      expect(imported.counts).toMatchObject({ structures: 4, structuresMade: 4, endsAtOtherEnd: 3, endsFree: 3 });
    }
  });

  test('an end that meets an end already at a structure goes to that structure', () => {
    const imported = take([point(at(0)), line([at(-30), at(0.4)]), line([at(0.7), at(30)])]);
    expect(linksOf(imported)).toEqual([
      ['P-2', 'MH-X1', 'CB-1'],
      ['P-3', 'CB-1', 'OUT-X1'],
    ]);
    expect(imported.counts).toMatchObject({ endsAtStructure: 1, endsAtOtherEnd: 1, endsFree: 2 });
  });

  test('an end on the middle of a line splits it there, and the pieces are as long as the line', () => {
    const main = [at(0), at(30, 5), at(60)];
    const imported = take([line(main, { Type: 4 }, 7), line([at(10, 40), at(45, 2.8)], { Type: 2 }, 8)]);
    expect(linksOf(imported)).toEqual([
      ['P-8', 'MH-X2', 'MH-X3'],
      ['S-7.1', 'MH-X1', 'MH-X3'],
      ['S-7.2', 'MH-X3', 'OUT-X1'],
    ]);
    const pieces = imported.reading.map.links.filter(({ kind }) => kind === 'swale');
    expect(pieces.reduce((sum, { lengthM }) => sum + lengthM, 0)).toBeCloseTo(lengthOf(main), 1);
    expect(pieces[0].path.at(-1)).toEqual(pieces[1].path[0]);
    expect(imported.counts).toMatchObject({ endsAtMiddle: 1, endsFree: 3, linesSplit: 1 });
    expect(guesses(imported)).toContain(
      'MH-X3: no structure is drawn where S-7.1, P-8 and S-7.2 meet, on the middle of a line, which was split; a manhole was made',
    );
  });

  test('several ends split a line in the order in which they lie along it, whatever their own order', () => {
    const branches = [45, 15, 30].map((x, place) => line([at(x, 20), at(x)], { Type: 2 }, 10 + place));
    const imported = take([line([at(0), at(30), at(60)], { Type: 2 }, 1), ...branches]);
    const starts = imported.reading.map.links.filter(({ id }) => id.startsWith('P-1.')).map(({ path }) => path[0]);
    expect(starts.map((start) => Math.abs(Math.round(FRAME.toMetres(start)[0])))).toEqual([0, 15, 30, 45]);
    const next = new Map(imported.reading.map.links.map((link) => [link.from, link.to]));
    let [here, steps] = [imported.reading.map.links.find(({ id }) => id === 'P-1.1')?.from, 0];
    while (here !== undefined && next.has(here)) [here, steps] = [next.get(here), steps + 1];
    expect([here, steps]).toEqual(['OUT-X1', 4]);
  });

  test('a structure drawn on the middle of a line splits it; one that stands beside it does not', () => {
    const on = take([line([at(0), at(60)], { Type: 2 }, 1), point(at(30), { Type: 2 }, 5)]);
    expect(linksOf(on)).toEqual([
      ['P-1.1', 'MH-X1', 'CB-5'],
      ['P-1.2', 'CB-5', 'OUT-X1'],
    ]);
    expect(guesses(on)[0]).toContain('CB-5: it stands on the middle of a line');
    const beside = take([line([at(0), at(60)], { Type: 2 }, 1), point(at(30, 0.2), { Type: 2 }, 5)]);
    expect(linksOf(beside)).toEqual([['P-1', 'MH-X1', 'OUT-X1']]);
    expect(beside.counts.structuresWithoutLink).toBe(1);
  });

  test('two structures at one place on a line split it once, so that every link has a length', () => {
    const twice = take([line([at(0), at(60)]), point(at(30)), point(at(30)), point(at(60)), point(at(60))]);
    expect(twice.counts).toMatchObject({ links: 2, structuresWithoutLink: 2 });
    expect(guesses(twice).filter((each) => each.includes('same place'))).toEqual([
      'CB-3: it stands at the same place as CB-2, which was given the links; it has none',
      'CB-5: it stands at the same place as CB-4, which was given the links; it has none',
    ]);
    expect(twice.reading.map.links.every(({ lengthM }) => lengthM > 1)).toBe(true);
  });

  test('a made structure is an outfall where links end, else a manhole, and each is listed', () => {
    const imported = take([line([at(0), at(20)]), line([at(40, 9), at(20)]), line([at(60), at(90)], { Type: 4 })]);
    expect(structuresOf(imported)).toEqual(['MH-X1', 'MH-X2', 'MH-X3', 'OUT-X1', 'OUT-X2']);
    expect(guesses(imported).sort()).toEqual([
      'MH-X1: no structure is drawn where P-1 begins; a manhole was made as its upper end',
      'MH-X2: no structure is drawn where P-2 begins; a manhole was made as its upper end',
      'MH-X3: no structure is drawn where S-3 begins; a manhole was made as its upper end',
      'OUT-X1: no structure is drawn where P-1 and P-2 end and nothing leads on; an outfall was made',
      'OUT-X2: no structure is drawn where S-3 ends and nothing leads on; an outfall was made',
    ]);
  });

  test('an outfall that leads on lets oil go on, and says so; one that leads nowhere keeps it', () => {
    const outfalls = [point(at(20), { Type: 9 }, 1), point(at(60), { Type: 9 }, 2)];
    const imported = take([...outfalls, line([at(0), at(20)]), line([at(20), at(60)], { Type: 4 })]);
    const holds = imported.reading.map.structures.map(({ id, properties }) => [id, properties.holds]);
    expect(holds).toEqual([
      ['MH-X1', undefined],
      ['OUT-1', 0.1],
      ['OUT-2', undefined],
    ]);
    expect(guesses(imported)).toContain(
      'OUT-1: S-4 leads on from this outfall, so 10% of the oil is taken to stay here and the rest to go on',
    );
  });

  test('every part of a multi-part line is a link of its own', () => {
    const parts = { type: 'MultiLineString', coordinates: [[at(0), at(20)], [at(20), at(40)], [at(99)]] };
    const imported = take([{ type: 'Feature', id: 7, properties: { Type: 2 }, geometry: parts }]);
    expect(linksOf(imported)).toEqual([
      ['P-7.1', 'MH-X1', 'MH-X2'],
      ['P-7.2', 'MH-X2', 'OUT-X1'],
    ]);
    expect(withCode(imported.problems, 'bad-geometry').map(({ message }) => message)).toEqual([
      'its line has fewer than two positions (part 3)',
    ]);
    expect(imported.counts).toMatchObject({ read: 1, taken: 1, leftOut: 0 });
  });

  test('a line to itself is kept, and check names it', () => {
    const imported = take([point(at(0)), line([at(0), at(20), at(20, 20), at(0)])]);
    expect(linksOf(imported)).toEqual([['P-2', 'CB-1', 'CB-1']]);
    expect(withCode(checkMap(imported.reading).problems, 'self-link').map(({ id }) => id)).toEqual(['P-2']);
  });

  test('moving every feature by the same way changes no link', () => {
    const yard = (x0: number, y0: number) =>
      take([
        point(at(x0, y0)),
        line([at(x0, y0), at(x0 + 30, y0)]),
        line([at(x0 + 30, y0 + 0.3), at(x0 + 60, y0)]),
        line([at(x0 + 45, y0 + 30), at(x0 + 45, y0 + 0.2)]),
      ]);
    expect(linksOf(yard(900, -700))).toEqual(linksOf(yard(0, 0)));
  });
});

describe('what the source says', () => {
  test('is kept untouched under "source", whatever its names', () => {
    const properties = JSON.parse(
      '{"Type":2,"kind":7,"share":"x","slope":-3,"name":5,"MapDate ":null,"__proto__":{"a":1}}',
    );
    const [basin, pipe] = [point(at(0), properties, 'CB-77'), line([at(0), at(20)], properties, 12)];
    const { reading } = take([basin, pipe]);
    const sources = ['CB-77', 'P-12'].map(
      (id) => reading.map.file.features.find((feature) => feature.id === id)?.properties.source,
    );
    expect(JSON.stringify(sources[0])).toBe(JSON.stringify({ layer: 'layer-1', id: 'CB-77', properties }));
    expect(JSON.stringify(sources[1])).toBe(JSON.stringify({ layer: 'layer-1', id: 12, properties }));
  });

  test('ids are unique and the same whatever is left out', () => {
    const features = [point(at(0), { Type: 2 }, 1), point(at(9), { Type: 2 }, 2), point(at(18), { Type: 2 }, 2)];
    expect(structuresOf(take(features))).toEqual(['CB-1', 'CB-2', 'CB-2-2']);
    expect(structuresOf(take(features.slice(1)))).toEqual(['CB-2', 'CB-2-2']);
    const taken = take([point(at(0), { Type: 2 }, '2-2'), ...features.slice(1)]);
    expect(structuresOf(taken)).toEqual(['CB-2', 'CB-2-2', 'CB-2-3']);
  });

  test('heights are kept, and coordinates that are not moved stay as they are', () => {
    const path = [
      [-105, 40, 1600],
      [-104.99912345678901, 40.00012345678901, 1599],
      [-104.999, 40.001, 1598],
    ];
    const { reading } = take([point([-105, 40, 1601.5]), line(path)]);
    expect(reading.map.links[0].path).toEqual(path);
    expect(reading.map.structures.map(({ position }) => position)).toEqual([
      [-105, 40, 1601.5],
      [-104.999, 40.001],
    ]);
  });

  test('the same layers give the same text', () => {
    const features = [point(at(0)), line([at(0), at(20)]), line([at(20), at(50)], { Type: 4 })];
    const text = () => writeSiteMap(take(features, { zones: {} }).file);
    expect(text()).toBe(text());
  });
});

describe('broken layers', () => {
  test.each([
    ['', 'not-json'],
    ['{"type":"FeatureCollection","features":[', 'not-json'],
    ['{"type":"FeatureCollection","features":[{"geometry":{"type":"Point","coordinates":[NaN,1]}}]}', 'not-json'],
    ['null', 'bad-file'],
    ['[]', 'bad-file'],
    ['"text"', 'bad-file'],
    ['{"type":"Topology","objects":{}}', 'bad-file'],
    ['{"type":"FeatureCollection","features":{}}', 'bad-file'],
    ['{"type":"FeatureCollection","features":[]}', 'bad-file'],
  ])('%s is a problem and no crash', (text, code) => {
    const { problems, counts } = takeTexts([text]);
    expect(problems.filter(({ severity }) => severity === 'error').map((each) => each.code)).toEqual([code]);
    expect(counts.read).toBe(0);
  });

  test('one broken layer does not stop the others', () => {
    const { problems, counts } = takeTexts(['{', collection(point(at(0)))]);
    expect(problems.filter(({ severity }) => severity === 'error').map(({ id, code }) => [id, code])).toEqual([
      ['layer-1', 'not-json'],
    ]);
    expect(counts.structures).toBe(1);
  });

  test.each<[string, unknown]>([
    ['null', null],
    ['a number', 5],
    ['no geometry', { type: 'Feature', properties: { Type: 2 } }],
    ['a null geometry', { type: 'Feature', properties: { Type: 2 }, geometry: null }],
    ['a geometry without a type', { type: 'Feature', properties: { Type: 2 }, geometry: { coordinates: at(0) } }],
    ['a point without coordinates', point(null)],
    ['an empty point', point([])],
    ['texts for numbers', point(['-105', '40'])],
    ['a null in it', point([-105, null])],
    ['true in it', point([-105, true])],
    ['a line of one position', line([at(0)])],
    ['a line of no length', line([at(0), at(0), at(0)])],
    ['a line of numbers', line([-105, 40])],
    ['a line with a broken position', line([at(0), [null, 40]])],
    ['no parts', { type: 'Feature', properties: { Type: 2 }, geometry: { type: 'MultiLineString', coordinates: [] } }],
    ['a place off the globe', point([500_000, 4_000_000])],
    ['a place far from the others', point([20, 40])],
  ])('%s as a feature is listed as bad geometry and counted as left out', (_, feature) => {
    const sound = [point(at(0)), point(at(9)), point(at(18))];
    const { problems, counts } = take([...sound, feature]);
    expect(counts).toMatchObject({ read: 4, taken: 3 });
    expect(withCode(problems, 'bad-geometry')).toHaveLength(1);
    expect(withCode(problems, 'bad-geometry')[0].id).toBe('layer-1 feature 4');
    expect(problems.filter(({ severity }) => severity === 'error')).toEqual([]);
  });

  test('polygons and collections are left out by name', () => {
    const shapes = ['Polygon', 'GeometryCollection', 'Kreis'].map((type) => ({
      type: 'Feature',
      properties: {},
      geometry: { type, coordinates: [] },
    }));
    const notes = withCode(take([point(at(0)), ...shapes]).problems, 'import-left-out').map(({ message }) => message);
    expect(notes).toEqual(
      shapes.map(({ geometry }) => `1 feature left out: a ${geometry.type} is neither a structure nor a link`),
    );
  });

  test('a layer in metres is one error that says what to do', () => {
    const { problems } = take(Array.from({ length: 50 }, (_, x) => point([500_000 + x, 4_400_000])));
    const errors = problems.filter(({ severity }) => severity === 'error');
    expect(errors.map(({ code }) => code)).toContain('projected-coordinates');
    expect(english(errors[0].cure)).toContain('WGS 84');
  });

  test('properties that are no object are kept, and take part in no rule', () => {
    const odd = { type: 'Feature', properties: 'text', geometry: { type: 'Point', coordinates: at(0) } };
    const { file } = take([odd], rules(['*:manhole']));
    expect(file.features[0].properties.source).toEqual({ layer: 'layer-1', place: 1, properties: 'text' });
  });
});

const rings = (geometry: Parameters<typeof polygonsOf>[0]) =>
  polygonsOf(geometry).map((polygon) => polygon.map((ring) => ring.map((each): Point => FRAME.toMetres(each))));
const square = (size: number, [x, y] = [0, 0]) => [
  at(x, y),
  at(x + size, y),
  at(x + size, y + size),
  at(x, y + size),
  at(x, y),
];
const boundary = (geometry: unknown) => ({ name: 'boundary', text: JSON.stringify(geometry) });

/** Basins strewn over a square of 200 m, always the same. */
const strewn = Array.from({ length: 23 }, (_, n) => at((n * 83.7) % 200, (n * n * 37.1 + 11 * n) % 200));

function zonesOf({ reading }: { reading: Reading }) {
  return reading.map.zones.map((zone) => ({ ...zone, rings: rings(zone.geometry) }));
}

function overlapM2(zones: ReturnType<typeof zonesOf>): number {
  let sum = 0;
  for (const [place, a] of zones.entries()) {
    for (const b of zones.slice(place + 1)) {
      const shared = intersection(a.geometry.coordinates as never, b.geometry.coordinates as never);
      if (shared.length > 0) sum += areaOf({ type: 'MultiPolygon', coordinates: shared });
    }
  }
  return sum;
}

describe('inlet zones', () => {
  const basins = strewn.map((place) => point(place));
  const yard = { type: 'Polygon', coordinates: [square(240, [-20, -20]), square(60, [70, 70])] };

  test.each([
    ['a boundary with a hole', { boundary: boundary(yard) }, areaOf(yard as never)],
    [
      'a boundary that cuts cells in two',
      {
        boundary: boundary({
          type: 'Polygon',
          coordinates: [[at(-20, 90), at(220, 90), at(100, 95), at(220, 220), at(-20, 90)]],
        }),
      },
      null,
    ],
    [
      'two boundaries that overlap',
      { boundary: boundary({ type: 'MultiPolygon', coordinates: [[square(120)], [square(120, [60, 60])]] }) },
      null,
    ],
  ])('inside %s they cover all ground once', (_, zones, area) => {
    const made = zonesOf(take(basins, { zones }));
    const polygons = JSON.parse(zones.boundary.text);
    const expected =
      area ??
      (polygons.type === 'Polygon'
        ? areaOf(polygons)
        : 2 * areaOf({ type: 'Polygon', coordinates: [square(120)] }) -
          areaOf({ type: 'Polygon', coordinates: [square(60, [60, 60])] }));
    expect(made.reduce((sum, { areaM2 }) => sum + areaM2, 0)).toBeCloseTo(expected, -1);
    expect(overlapM2(made)).toBeLessThan(1);
  });

  test('without a boundary and a limit they cover the hull once, each around its own inlet', () => {
    const imported = take(basins, { zones: { radiusM: Number.POSITIVE_INFINITY } });
    const made = zonesOf(imported);
    expect(made).toHaveLength(basins.length);
    expect(overlapM2(made)).toBeLessThan(1);
    const places = new Map(imported.reading.map.structures.map(({ id, position }) => [id, position]));
    for (const zone of made) {
      expect(zone.inlets).toHaveLength(1);
      expect(isInside(zone.rings.flat(), FRAME.toMetres(places.get(zone.inlets[0].to) ?? []))).toBe(true);
    }
    const all = made.flatMap((zone) => zone.rings.flat(2));
    const box = [0, 1].map(
      (axis) => Math.max(...all.map((each) => each[axis])) - Math.min(...all.map((each) => each[axis])),
    );
    const area = made.reduce((sum, { areaM2 }) => sum + areaM2, 0);
    expect(area).toBeLessThan(box[0] * box[1]);
    expect(area).toBeGreaterThan((box[0] * box[1]) / 2);
  });

  test('every place in a zone is nearer to its inlet than to any other (checked on a grid, both ways)', () => {
    const imported = take(basins, { zones: { boundary: boundary(yard) } });
    const made = zonesOf(imported);
    const places = imported.reading.map.structures.map(({ id, position }) => ({ id, place: FRAME.toMetres(position) }));
    for (let x = -15; x < 220; x += 9.7) {
      for (let y = -15; y < 220; y += 9.3) {
        const here = made.filter((zone) => isInside(zone.rings.flat(), [x, y]));
        const isInHole = x > 70 && x < 130 && y > 70 && y < 130;
        expect(here).toHaveLength(isInHole ? 0 : 1);
        if (isInHole) continue;
        const distance = ({ place }: (typeof places)[number]) => Math.hypot(place[0] - x, place[1] - y);
        const nearest = Math.min(...places.map(distance));
        const own = places.find(({ id }) => id === here[0].inlets[0].to);
        expect(own && distance(own)).toBeLessThan(nearest + 0.05);
      }
    }
  });

  test('no ground lies farther from its inlet than the radius, and one basin alone gets a whole disc', () => {
    const { reading } = take(basins, { zones: { radiusM: 25 } });
    const places = new Map(reading.map.structures.map(({ id, position }) => [id, position]));
    for (const { inlets, geometry } of reading.map.zones) {
      const corners = polygonsOf(geometry).flat(2);
      expect(Math.max(...corners.map((each) => lengthOf([each, places.get(inlets[0].to) ?? []])))).toBeLessThan(25.02);
    }
    const [alone] = take(
      [point(at(0)), point(at(500), { Type: 9 }), point(at(-500, 300), { Type: 9 }), point(at(0, -500), { Type: 9 })],
      { zones: { radiusM: 25 } },
    ).reading.map.zones;
    expect(alone.areaM2 / (Math.PI * 25 ** 2)).toBeGreaterThan(0.99);
    expect(alone.areaM2 / (Math.PI * 25 ** 2)).toBeLessThanOrEqual(1);
  });

  test('each zone states where it drains and what is assumed of it, and is listed as a guess', () => {
    const imported = take([point(at(0), { Type: 2 }, 9), line([at(0), at(30)])], {
      zones: { activity: 'roadway', nameOf: (inlet) => `Ground around ${inlet}` },
    });
    const [zone] = imported.reading.map.zones;
    expect(zone.properties).toMatchObject({ activity: 'roadway', drainsTo: 'CB-9', name: 'Ground around CB-9' });
    expect(guesses(imported)).toContain(
      'Z-CB-9: its ground is what lies nearest to CB-9 within 60 m, inside the outermost structures and 10 m more; activity "roadway" was assumed',
    );
  });

  test('inlets at one place share a zone in equal parts, and inlets in a row have theirs', () => {
    const shared = take([point(at(0)), point(at(0)), point(at(50))], { zones: {} }).reading.map.zones;
    expect(shared.map(({ id, inlets }) => [id, inlets.map(({ to, share }) => [to, share])])).toEqual([
      [
        'Z-CB-1',
        [
          ['CB-1', 0.5],
          ['CB-2', 0.5],
        ],
      ],
      ['Z-CB-3', [['CB-3', 1]]],
    ]);
  });

  test('an inlet without ground inside the boundary is said to have no zone', () => {
    const far = [
      point(at(10, 10), { Type: 2 }, 1),
      point(at(60, 10), { Type: 2 }, 2),
      point(at(900, 10), { Type: 2 }, 3),
    ];
    const { counts, problems } = take(far, {
      zones: { boundary: boundary({ type: 'Polygon', coordinates: [square(100)] }) },
    });
    expect(counts.zones).toBe(2);
    expect(withCode(problems, 'import-left-out').map(({ id }) => id)).toEqual(['CB-3']);
  });

  test.each([
    '',
    '{}',
    '{"type":"Point","coordinates":[0,0]}',
    '{"type":"Polygon","coordinates":[[[0,0],[1,1]]]}',
    '{"type":"Polygon","coordinates":[[["a",0],[1,1],[2,2]]]}',
    '{"type":"MultiPolygon","coordinates":[]}',
  ])('the boundary %s is an error, and no zones are made', (text) => {
    const { problems, counts } = take(basins, { zones: { boundary: { name: 'edge', text } } });
    expect(problems.filter(({ severity }) => severity === 'error').map(({ id }) => id)).toEqual(['edge']);
    expect(counts.zones).toBe(0);
  });

  test('without catch basins there are no zones, and that is said', () => {
    const { counts, problems } = take([point(at(0), { Type: 9 })], { zones: {} });
    expect(counts.zones).toBe(0);
    expect(withCode(problems, 'import-left-out')[0].message).toContain('no catch basin');
  });
});

const RICHMOND = resolve(import.meta.dirname, '../../../shared/data/vermont-richmond');
const isThere = existsSync(RICHMOND);
if (!isThere) console.warn('The Richmond network is not beside the checkout (../shared/data): its tests are skipped.');

describe.skipIf(!isThere)('the storm drains of a small town', () => {
  const layers = ['point-features.geojson', 'linear-features.geojson'].map((name) => ({
    name,
    text: isThere ? readFileSync(resolve(RICHMOND, name), 'utf8') : '',
  }));
  const storm = ['SystemType=Stormwater'];
  const open = (kind: string[], zones?: ImportOptions['zones']) => {
    const imported = importLayers(layers, { ...rules(kind, storm), zones });
    return { ...imported, reading: readSiteMap(writeSiteMap(imported.file)) };
  };
  // All points, and all lines but the unconnected ones of type 5: what the data's own description counts.
  const everything = ['*:manhole', ...[2, 4, 6, 7, 8, 10, 16].map((type) => `Type=${type}:pipe`)];

  test('line ends meet as measured: 823 at structures, 430 at other ends, 8 on the middle of a line, 255 free', () => {
    const { counts } = open(everything);
    expect(counts).toMatchObject({ read: 747 + 1021, taken: 658 + 853 - 172, leftOut: 89 + 168 + 172 });
    expect(counts).toMatchObject({
      lineEnds: 1516,
      endsAtStructure: 823,
      endsAtOtherEnd: 430,
      endsAtMiddle: 8,
      endsFree: 255,
    });
  });

  test('there is no circle, and two lines lead to themselves', () => {
    const { loops, problems } = checkMap(open(everything).reading);
    expect(loops).toEqual([]);
    expect(withCode(problems, 'self-link')).toHaveLength(2);
    // 24 pairs of lines run side by side; splitting lines at the structures drawn on them makes one pair more.
    expect(withCode(problems, 'parallel-links').length).toBeGreaterThanOrEqual(24);
  });

  test('of the 69 structures at which no line ends (by brute force), those drawn on a line are joined to it', () => {
    const { reading, problems, counts } = open(everything);
    const frame = metreFrame(reading.map.structures[0].position);
    const structures = reading.map.structures
      .filter(({ id }) => !id.includes('-X'))
      .map(({ id, position }) => ({ id, place: frame.toMetres(position) }));
    const lines = JSON.parse(layers[1].text).features.filter(
      ({ properties: { SystemType, Type } }: { properties: Record<string, unknown> }) =>
        SystemType === 'Stormwater' && Type !== 5,
    );
    const ends = lines.flatMap(({ geometry }: { geometry: { type: string; coordinates: never } }) =>
      (geometry.type === 'LineString' ? [geometry.coordinates] : geometry.coordinates).flatMap((path: Point[]) =>
        [path[0], path[path.length - 1]].map((each) => frame.toMetres([...each])),
      ),
    );
    const untouched = new Set(structures.map(({ id }) => id));
    for (const [x, y] of ends) {
      let [nearest, leastM] = ['', 0.5];
      for (const { id, place } of structures) {
        const awayM = Math.hypot(place[0] - x, place[1] - y);
        if (awayM <= leastM) [nearest, leastM] = [id, awayM];
      }
      untouched.delete(nearest);
    }
    expect([structures.length, ends.length, untouched.size]).toEqual([658, 1516, 69]);
    for (const { id, message } of withCode(problems, 'import-guess')) {
      if (english(message).includes('stands on the middle')) untouched.delete(id as string);
    }
    const linked = new Set(reading.map.links.flatMap(({ from, to }) => [from, to]));
    expect([...untouched].filter((id) => linked.has(id))).toEqual([]);
    expect(untouched.size).toBe(counts.structuresWithoutLink);
    expect(untouched.size).toBeLessThan(69);
  });

  test('every source feature stands in the map or is counted as left out', () => {
    const { file, problems, counts } = open(KINDS);
    const key = ({ source }: { source?: unknown }) => {
      const { layer, id } = source as { layer: string; id: number };
      return `${layer} ${id}`;
    };
    const standing = new Set(
      file.features.flatMap(({ id, properties }) =>
        id.includes('-X') ? [] : [key(properties as { source?: unknown })],
      ),
    );
    expect(standing.size).toBe(counts.taken);
    const leftOut = withCode(problems, 'import-left-out').reduce(
      (sum, { message }) => sum + Number.parseInt(english(message), 10),
      0,
    );
    expect(standing.size + leftOut).toBe(747 + 1021);
  });

  test('the map is sound, every made structure is listed, and every catch basin has its ground', () => {
    const { reading, problems, counts } = open(KINDS, {});
    const report = checkMap(reading);
    expect(report.problems.filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(report.counts).toMatchObject({ zones: 108, 'catch-basin': 108 });
    const listed = new Set(withCode(problems, 'import-guess').map(({ id }) => id));
    const made = reading.map.structures.filter(({ id }) => id.includes('-X'));
    expect(made).toHaveLength(counts.structuresMade);
    expect(made.filter(({ id }) => !listed.has(id))).toEqual([]);
    expect(reading.map.zones.filter(({ id }) => !listed.has(id))).toEqual([]);
    expect(Math.max(...reading.map.zones.map(({ areaM2 }) => areaM2))).toBeLessThan(Math.PI * 60 ** 2);
  });

  test('links keep the way they are drawn and end at their structures', () => {
    const { reading } = open(KINDS);
    const places = new Map(reading.map.structures.map(({ id, position }) => [id, position.slice(0, 2)]));
    for (const { from, to, path } of reading.map.links) {
      expect([path[0].slice(0, 2), path[path.length - 1].slice(0, 2)]).toEqual([places.get(from), places.get(to)]);
    }
    expect(
      reading.map.file.features.every(({ properties: { kind } }) => isStructureKind(kind) || isLinkKind(kind)),
    ).toBe(true);
  });
});
