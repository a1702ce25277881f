import { describe, expect, test } from 'vitest';
import * as z from 'zod';
import { responseCard } from '../../src/block/index.ts';
import { checkMap, compileDrainage, oilshed } from '../../src/drainage/index.ts';
import { drawFlat } from '../../src/drawing/index.ts';
import { KINDS, readSiteMap, siteMapIn, writeSiteMap } from '../../src/site-map/index.ts';
import { featureSchemas, siteSchema } from '../../src/site-map/schema.ts';
import { findSpill } from '../../src/spill/index.ts';
import { englishProblems } from '../support/english.ts';
import { everyField } from '../support/every-field.ts';

const text = () => JSON.stringify(everyField());

/** Every field that a schema lists, as a path: "controls[].control". */
function fieldsOf(schema: z.core.JSONSchema._JSONSchema, path = ''): string[] {
  if (typeof schema === 'boolean') return [];
  const own = Object.entries(schema.properties ?? {}).flatMap(([key, value]) => {
    const field = path === '' ? key : `${path}.${key}`;
    return [field, ...fieldsOf(value, field)];
  });
  const items = Array.isArray(schema.items) ? schema.items : [schema.items ?? false];
  const inner = [
    ...items.flatMap((each) => fieldsOf(each, `${path}[]`)),
    ...fieldsOf(typeof schema.additionalProperties === 'object' ? schema.additionalProperties : false, `${path}.*`),
  ];
  return [...own, ...inner, ...(schema.anyOf ?? []).flatMap((each) => fieldsOf(each, path))];
}

/** Whether a value has something at such a path. */
function hasField(value: unknown, path: string): boolean {
  if (path === '') return value !== undefined;
  const [, key, rest] = /^(\[\]|\.?\*|\.?[^.[]+)(.*)$/.exec(path) ?? [];
  if (typeof value !== 'object' || value === null) return false;
  const name = key.replace(/^\./, '');
  const next =
    name === '[]' || name === '*' ? Object.values(value) : [Object.entries(value).find(([own]) => own === name)?.[1]];
  return next.some((each) => hasField(each, rest));
}

describe('a map that holds every kind and every field', () => {
  test('holds every kind and every field that the schemas list', () => {
    const { site, features } = everyField();
    const missing = KINDS.flatMap((kind) => {
      const ofKind = features.filter(({ properties }) => properties.kind === kind).map(({ properties }) => properties);
      const { properties } = z.toJSONSchema(featureSchemas[kind]).properties ?? {};
      const fields = fieldsOf(properties ?? false);
      expect(fields.length, kind).toBeGreaterThan(0);
      return fields
        .filter((field) => !ofKind.some((each) => hasField(each, field)))
        .map((field) => `${kind}: ${field}`);
    });
    const ofSite = fieldsOf(z.toJSONSchema(siteSchema)).filter((field) => !hasField(site, field));
    expect([...missing, ...ofSite]).toEqual([]);
  });

  test('is read without a problem but what is odd about it, counted by kind, and written back byte for byte', () => {
    const { map, problems } = readSiteMap(text());
    expect(problems).toEqual([]);
    const report = checkMap({ map, problems });
    expect(report.problems.map(({ code, id }) => [code, id])).toEqual([]);
    expect(report.counts).toMatchObject({ features: 30, zones: 2, structures: 9, links: 8, edge: 1, 'run-on': 2 });
    expect([...KINDS].filter((kind) => !report.counts[kind])).toEqual([]);
    expect([report.deadEnds, report.loops, report.unprotected]).toEqual([[], [], []]);
    const written = writeSiteMap(map.file);
    expect(JSON.parse(written)).toEqual(everyField());
    expect(writeSiteMap(readSiteMap(written).map.file)).toBe(written);
    expect(writeSiteMap(siteMapIn(everyField()).map.file)).toBe(written);
  });

  test('leaves plans, spills and reach as they are without the fields that are not used yet', () => {
    const full = compileDrainage(readSiteMap(text()).map);
    const bare = everyField();
    // Sumps, wells, chambers, relief pipes, valves' states and the like count in spills and plans now.
    const unused = ['known', 'wrongChance', 'direction', 'tenant', 'places', 'release'];
    const kept = bare.features
      .filter(({ properties }) => properties.kind !== 'run-on')
      .map((feature) => ({
        ...feature,
        properties: Object.fromEntries(Object.entries(feature.properties).filter(([key]) => !unused.includes(key))),
      }));
    const plain = compileDrainage(siteMapIn({ ...bare, features: kept }).map);
    for (const zone of ['Z-1', 'Z-2']) {
      const answers = [full, plain].map((drainage) => responseCard(drainage, zone, { litres: 200 }));
      expect(answers[0].card).not.toBeNull();
      const words = answers.map(({ card, problems }) => ({ ...card, zone, problems }));
      expect(words[0]).toEqual(words[1]);
    }
  });

  test('oil gets to the edge of the map, which is no outfall and counts as water', () => {
    const { map } = readSiteMap(text());
    const drainage = compileDrainage(map);
    expect(oilshed(drainage, 'EDGE-1').map(({ zone }) => zone.id)).toEqual(['Z-2', 'Z-1']);
    const { answer } = findSpill(drainage, { place: { zone: 'Z-1' }, litres: 200, fluid: 'diesel' });
    expect(answer?.arrivals.map(({ id }) => id)).toContain('EDGE-1');
    expect(answer?.outfalls.map(({ id }) => id)).toEqual(['OUT-1']);
    // Sumps and the well, which starts at 200 L, keep 200 L whole: nothing is past saving before the well has started.
    const { card } = responseCard(drainage, 'Z-1', { litres: 200 });
    for (const answer of [card?.all.dry, card?.all.rain]) {
      expect(answer?.doNothing.waters).toEqual([]);
      const { held = 0, onGround = 0 } = answer?.doNothing.litres ?? {};
      expect(held + onGround).toBeCloseTo(200, 9);
    }
    const { card: large } = responseCard(drainage, 'Z-1', { litres: 2_000 });
    expect(large?.all.rain.doNothing.waters).toEqual(['EDGE-1', 'OUT-1']);
  });

  test('is drawn; places where something can be turned off, too', () => {
    const flat = drawFlat(readSiteMap(text()).map);
    expect(flat.structures.map(({ structure }) => structure.kind)).toContain('edge');
    expect(flat.others.map(({ kind }) => kind)).toEqual([
      'kit',
      'kit-spot',
      'crew',
      'fuel-stop',
      'pump-switch',
      'diverter',
      'building',
      'property-line',
      'water',
    ]);
  });
});

describe('references of the newer kinds', () => {
  const wrong = (id: string, change: object) => {
    const map = everyField();
    for (const feature of map.features) if (feature.id === id) Object.assign(feature.properties, change);
    return englishProblems(siteMapIn(map).problems).map(({ code, id: at, field, message }) => [
      code,
      at,
      field,
      message,
    ]);
  };

  test.each([
    ['STOP-1', { stops: ['Z-1', 'Z-9'] }, 'stops[1]', 'no zone has the id "Z-9"'],
    ['STOP-1', { stops: ['CB-1'] }, 'stops[0]', '"CB-1" is on the map, but is no zone'],
    ['SW-1', { stops: ['CB-1'] }, 'stops[0]', '"CB-1" is on the map, but is no manhole'],
    ['DIV-1', { at: 'Z-1' }, 'at', '"Z-1" is on the map, but is no structure'],
    ['DIV-1', { to: 'X-1' }, 'to', 'no structure has the id "X-1"'],
    ['RUN-1', { drainsTo: [{ to: 'X-1' }] }, 'drainsTo[0].to', 'no structure has the id "X-1"'],
    ['RUN-2', { drainsTo: 'KIT-1' }, 'drainsTo', '"KIT-1" is on the map, but is no structure'],
  ])('%s with %j names the field', (id, change, field, message) => {
    expect(wrong(id, change)).toEqual([['unknown-id', id, field, message]]);
  });

  test.each([
    ['STOP-1', { stops: [] }, 'stops'],
    ['STOP-1', { stops: undefined }, 'stops'],
    ['DIV-1', { at: undefined }, 'at'],
    ['V-1', { state: 'ajar' }, 'state'],
    ['V-1', { exercised: 'in spring' }, 'exercised'],
    ['V-1', { exercised: '2026-02-30' }, 'exercised'],
    ['MH-1', { pumped: { startLitres: 20 } }, 'pumped.lps'],
    ['P-1', { known: 'rumour' }, 'known'],
    ['P-1', { direction: { sure: 1.2 } }, 'direction.sure'],
    ['SEP-1', { chambers: [{ role: 'inlet' }] }, 'chambers[0].id'],
    ['Z-1', { release: { factor: 0.5 } }, 'release.factor'],
    ['Z-1', { controls: [{ control: 'sock' }] }, 'controls[0].control'],
    ['CB-1', { controls: [{ control: 'absorb' }] }, 'controls[0].control'],
  ])('%s with %j is refused by the field', (id, change, field) => {
    expect(wrong(id, change).map(([, at, where]) => [at, where])).toEqual([[id, field]]);
  });

  test('chances, languages and limits of a site are held to their ranges', () => {
    const fields = (site: object) => {
      const map = everyField();
      return siteMapIn({ ...map, site: { ...map.site, ...site } }).problems.map(({ field }) => field);
    };
    expect(fields({ odds: { foundChance: 0.8 } })).toEqual(['site.odds.foundChance']);
    expect(fields({ odds: { foundChance: 0.85 } })).toEqual([]);
    expect(fields({ language: 'fr' })).toEqual(['site.language']);
    expect(fields({ limits: { pH: 'neutral' } })).toEqual(['site.limits.pH']);
  });
});
