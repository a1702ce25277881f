import { longLists, withoutBulk } from './bulk.ts';
import { characterProblems } from './characters.ts';
import { explain } from './explain.ts';
import { resolveInlets } from './inlets.ts';
import { parseJson } from './json.ts';
import { idCure } from './meant.ts';
import { areaOf, lengthOf } from './measure.ts';
import { isOfKind, type Link, type MapFile, type SiteMap, type Structure, type Zone } from './model.ts';
import { type Problem, problem, problemList, show } from './problem.ts';
import { type Feature, featureSchemas, type Site, siteSchema } from './schema.ts';
import { isTimeZone } from './time.ts';
import { KINDS, type Kind, LINK_KINDS, type LinkKind, STRUCTURE_KINDS, type StructureKind } from './vocabulary.ts';

/** A map as far as it could be understood, and every problem met on the way. With an error among them it must not be computed with. */
export interface Reading {
  map: SiteMap;
  problems: Problem[];
}

/**
 * Reads a site map (contract §1) from GeoJSON text.
 *
 * Comes back with everything that could be understood, so that `check` can still count, and with every problem: each
 * names the feature, the field, what was found, what is allowed and what to do. Never throws for bad input.
 * O(text).
 */
export function readSiteMap(text: string): Reading {
  const { value, problems } = parseJson(text, 'warn');
  if (value === undefined) return { map: emptyMap(), problems };
  const { map, problems: more } = readFeatures(value);
  return { map, problems: [...problems, ...more] };
}

/** A large town's network has some 30,000. */
const MOST_FEATURES = 500_000;

function emptyMap(): SiteMap {
  const site: Site = { format: 'oilshed-site', version: 1 };
  return {
    site,
    zones: [],
    structures: [],
    links: [],
    others: [],
    file: { type: 'FeatureCollection', site, features: [] },
  };
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function readFeatures(value: unknown): Reading {
  const whole = { id: null, field: null };
  if (!isObject(value) || value.type !== 'FeatureCollection' || !Array.isArray(value.features)) {
    const message = 'it is JSON, but no GeoJSON FeatureCollection with a list of features';
    return {
      map: emptyMap(),
      problems: [
        problem('not-a-site-map', whole, {
          message,
          cure: 'write { "type": "FeatureCollection", "site": { … }, "features": [ … ] }',
        }),
      ],
    };
  }
  if (value.features.length > MOST_FEATURES) {
    const found = `${value.features.length} features`;
    const cure = 'split it, or import only the part you answer for';
    return {
      map: emptyMap(),
      problems: [
        problem('too-large', whole, { message: `it has ${found}`, found, allowed: `at most ${MOST_FEATURES}`, cure }),
      ],
    };
  }
  const problems = siteProblems(value.site);
  const list = problemList(problems);
  const map = emptyMap();
  if (isObject(value.site) && problems.length === 0) map.site = value.site as Site;

  const seen = new Map<string, number>();
  const usable: Feature[] = [];
  const broken = new Set<unknown>();
  value.features.forEach((raw: unknown, at: number) => {
    const found = featureProblems(raw, at);
    if (found.length === 0) {
      const { id } = raw as Feature;
      const before = seen.get(id);
      if (before === undefined) {
        seen.set(id, at + 1);
        usable.push(raw as Feature);
      } else {
        found.push(
          problem(
            'duplicate-id',
            { id, field: 'id' },
            {
              message: `features ${before} and ${at + 1} of the file both have it`,
              found: show(id),
              allowed: 'an id used once',
              cure: 'give one of them another id, and mend what refers to it',
            },
          ),
        );
      }
    } else if (isObject(raw)) broken.add(raw.id);
    for (const each of found) list.add(each);
  });
  for (const each of characterProblems(map.site, usable)) list.add(each);
  list.close();
  const off = coordinateProblems(usable);
  map.file = { ...(value as unknown as MapFile), site: map.site, features: usable };
  for (const feature of usable) place(map, feature);
  const unknown = referenceProblems(map, (id) => (broken.has(id) ? 'broken' : seen.has(id) ? 'other' : 'none'));
  return { map, problems: [...problems, ...off, ...resolveInlets(map), ...unknown] };
}

function siteProblems(site: unknown): Problem[] {
  const tooLong = longLists(site, null, 'site.');
  if (tooLong.length > 0) return tooLong;
  const problems: Problem[] = explain(siteSchema, site, null).map((each) => ({
    ...each,
    field: each.field ? `site.${each.field}` : 'site',
  }));
  const timeZone = isObject(site) ? site.timeZone : undefined;
  if (typeof timeZone === 'string' && !isTimeZone(timeZone)) {
    problems.push(
      problem(
        'bad-time-zone',
        { id: null, field: 'site.timeZone' },
        {
          message: `${show(timeZone)} is no time zone known here`,
          found: show(timeZone),
          allowed: 'a name of the IANA time zone list',
          cure: 'write one such as "America/Denver"',
        },
      ),
    );
  }
  return problems;
}

/** How a feature is called in a message when it has no usable id of its own. */
const placeInFile = (at: number) => `feature ${at + 1}`;

function featureProblems(raw: unknown, at: number): Problem[] {
  if (!isObject(raw)) {
    return [
      problem(
        'bad-field',
        { id: placeInFile(at), field: null },
        {
          message: `it is ${show(raw)}`,
          found: show(raw),
          allowed: 'a GeoJSON Feature',
          cure: 'write a GeoJSON Feature or take it out',
        },
      ),
    ];
  }
  const id = typeof raw.id === 'string' && raw.id !== '' ? raw.id : placeInFile(at);
  const kind = isObject(raw.properties) ? raw.properties.kind : undefined;
  if (typeof kind === 'string' && Object.hasOwn(featureSchemas, kind)) {
    const { light, problems } = withoutBulk(raw, id);
    return problems.length > 0 ? problems : explain(featureSchemas[kind as Kind], light, id);
  }
  return [
    problem(
      'unknown-kind',
      { id, field: 'kind' },
      {
        message: kind === undefined ? 'it is missing' : `${show(kind)} is no kind of feature`,
        found: show(kind),
        allowed: `one of ${KINDS.join(', ')}`,
        cure: `write one of ${KINDS.join(', ')}`,
      },
    ),
  ];
}

const isOnEarth = (lon: number, lat: number) => Math.abs(lon) <= 180 && Math.abs(lat) <= 90;

/** The first position off the globe in coordinates of any depth; undefined where all are on it. */
function firstPositionOff(coordinates: unknown[]): number[] | undefined {
  const [first] = coordinates;
  if (typeof first === 'number')
    return isOnEarth(first, coordinates[1] as number) ? undefined : (coordinates as number[]);
  for (const part of coordinates as unknown[][]) {
    const found = firstPositionOff(part);
    if (found) return found;
  }
  return undefined;
}

/** Features off the globe: named one by one, or in one line when it is most of the map. */
function coordinateProblems(features: readonly Feature[]): Problem[] {
  const off = features.flatMap((feature) => {
    const position = firstPositionOff(feature.geometry.coordinates);
    return position ? [{ id: feature.id, position }] : [];
  });
  const describe = (position: number[]) => ({
    message: `${show(position[0])}, ${show(position[1])} is no longitude and latitude; it looks projected (metres or feet)`,
    found: `${show(position[0])}, ${show(position[1])}`,
    allowed: 'longitude -180 to 180, latitude -90 to 90',
    cure: 'export the map again in WGS 84 longitude and latitude',
  });
  if (off.length > 3 && off.length > features.length / 2) {
    const words = describe(off[0].position);
    return [
      problem(
        'projected-coordinates',
        { id: null, field: 'geometry.coordinates' },
        {
          ...words,
          message: `${off.length} of ${features.length} features are off the globe, the first is ${off[0].id}: ${words.message}`,
        },
      ),
    ];
  }
  return off.map(({ id, position }) =>
    problem('projected-coordinates', { id, field: 'geometry.coordinates' }, describe(position)),
  );
}

function place(map: SiteMap, feature: Feature): void {
  if (isOfKind(feature, 'zone')) map.zones.push(zoneOf(feature));
  else if (isOfKind(feature, ...STRUCTURE_KINDS)) map.structures.push(structureOf(feature));
  else if (isOfKind(feature, ...LINK_KINDS)) map.links.push(linkOf(feature));
  else map.others.push(feature);
}

const nameOf = ({ id, properties: { name } }: Feature): string => name || id;

function zoneOf(feature: Feature<'zone'>): Zone {
  const { id, properties, geometry } = feature;
  const areaM2 = properties.areaM2 ?? areaOf(geometry);
  return { id, name: nameOf(feature), properties, geometry, areaM2, inlets: [] };
}

/** The kind stands beside its own properties, which TypeScript cannot follow through a union. */
function structureOf(feature: Feature<StructureKind>): Structure {
  const { id, properties, geometry } = feature;
  const { kind } = properties;
  return { id, name: nameOf(feature), kind, properties, position: geometry.coordinates } as Structure;
}

function linkOf({ id, properties, geometry: { coordinates } }: Feature<LinkKind>): Link {
  const { kind, from, to, lengthM = lengthOf(coordinates) } = properties;
  return { id, kind, from, to, properties, path: coordinates, lengthM } as Link;
}

/** References to ids that are not there, or that are there but no structure. A broken structure has been reported itself. */
function referenceProblems(map: SiteMap, standing: (id: string) => 'broken' | 'other' | 'none'): Problem[] {
  const structures = new Set(map.structures.map((structure) => structure.id));
  const byForm = new Map(map.structures.map((structure) => [structure.id.normalize('NFC'), structure.id]));
  const problems: Problem[] = [];
  const hold = (id: string, field: string, to: string) => {
    if (structures.has(to) || standing(to) === 'broken') return;
    const message =
      standing(to) === 'other'
        ? `${show(to)} is on the map, but is no structure`
        : byForm.has(to.normalize('NFC'))
          ? `the id ${show(to)} looks like a structure's, but is written with other characters`
          : `no structure has the id ${show(to)}`;
    problems.push(
      problem(
        'unknown-id',
        { id, field },
        {
          message,
          found: show(to),
          allowed: 'the id of a structure',
          cure: idCure(to, structures, 'write the id of a structure on this map, or draw the one that is missing'),
        },
      ),
    );
  };
  for (const { id, properties } of map.zones) {
    const { drainsTo } = properties;
    if (typeof drainsTo === 'string') hold(id, 'drainsTo', drainsTo);
    else drainsTo?.forEach((inlet, at) => void hold(id, `drainsTo[${at}].to`, inlet.to));
  }
  for (const { id, properties } of map.structures) {
    if (properties.spillsTo !== undefined) hold(id, 'spillsTo', properties.spillsTo);
  }
  for (const { id, from, to } of map.links) {
    hold(id, 'from', from);
    hold(id, 'to', to);
  }
  return problems;
}
