import { told } from '../catalogue/index.ts';
import { addFeature } from './add-feature.ts';
import { longLists, withoutBulk } from './bulk.ts';
import { characterProblems } from './characters.ts';
import { coordinateProblems } from './coordinates.ts';
import { explain } from './explain.ts';
import { resolveInlets } from './inlets.ts';
import { parseJson } from './json.ts';
import type { MapFile, SiteMap } from './model.ts';
import { type Problem, problem, problemList, show, shown } from './problem.ts';
import { referenceProblems } from './references.ts';
import { type Feature, featureSchemas, type Site, siteSchema } from './schema.ts';
import { isTimeZone } from './time.ts';
import { isObject } from './unknown.ts';
import { isKind, KINDS } from './vocabulary.ts';

/** A map as far as it could be understood, and every problem met on the way. With an error among them it must not be computed with. */
export interface Reading {
  map: SiteMap;
  problems: Problem[];
}

/**
 * Reads a site map from GeoJSON text (RFC 7946).
 *
 * Comes back with everything that could be understood, so that `check` can still count, and with every problem: each
 * names the feature, the field, what was found, what is allowed and what to do. Never throws for bad input.
 * O(text).
 */
export function readSiteMap(text: string): Reading {
  const { value, problems } = parseJson(text, 'warn');
  if (value === undefined) return { map: emptyMap(), problems };
  const { map, problems: more } = siteMapIn(value);
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

/**
 * Reads a site map from a value that was parsed from JSON already. What could be understood of it is the map's own: it is
 * not copied. O(features).
 */
export function siteMapIn(value: unknown): Reading {
  if (!isObject(value) || value.type !== 'FeatureCollection' || !Array.isArray(value.features)) {
    const words = { message: told('map.no-features'), cure: told('map.write-features') };
    return unread(problem('not-a-site-map', WHOLE, words));
  }
  const { features } = value;
  if (features.length > MOST_FEATURES) {
    const count = features.length;
    const message = told('map.has-features', { count });
    const [found, allowed] = [told('map.so-many-features', { count }), told('map.at-most', { most: MOST_FEATURES })];
    return unread(problem('too-large', WHOLE, { message, found, allowed, cure: told('map.split') }));
  }
  const map = emptyMap();
  const problems = siteProblems(value.site);
  if (problems.length === 0) map.site = value.site as Site;
  const { usable, standing } = readFeatures(features, map.site, problems);
  map.file = { ...(value as unknown as MapFile), site: map.site, features: usable };
  for (const feature of usable) addFeature(map, feature);
  return {
    map,
    problems: [...problems, ...coordinateProblems(usable), ...resolveInlets(map), ...referenceProblems(map, standing)],
  };
}

const WHOLE = { id: null, field: null };
const unread = (wrong: Problem): Reading => ({ map: emptyMap(), problems: [wrong] });

/** Which features can be used; adds what is wrong with the others, and with texts, to `problems`. */
function readFeatures(
  features: readonly unknown[],
  site: Site,
  problems: Problem[],
): { usable: Feature[]; standing: (id: string) => 'broken' | 'other' | 'none' } {
  const list = problemList(problems);
  const seen = new Map<string, number>();
  const usable: Feature[] = [];
  const broken = new Set<unknown>();
  features.forEach((raw, at) => {
    const found = featureProblems(raw, at);
    for (const each of found) list.add(each);
    if (found.length > 0) {
      if (isObject(raw)) broken.add(raw.id);
      return;
    }
    const feature = raw as Feature;
    const before = seen.get(feature.id);
    if (before === undefined) {
      seen.set(feature.id, at + 1);
      usable.push(feature);
    } else list.add(usedTwice(feature.id, before, at + 1));
  });
  for (const each of characterProblems(site, usable)) list.add(each);
  list.close();
  return { usable, standing: (id) => (broken.has(id) ? 'broken' : seen.has(id) ? 'other' : 'none') };
}

const usedTwice = (id: string, first: number, second: number): Problem =>
  problem(
    'duplicate-id',
    { id, field: 'id' },
    {
      message: told('map.id-twice', { first: String(first), second: String(second) }),
      found: show(id),
      allowed: told('map.id-once'),
      cure: told('map.give-other-id'),
    },
  );

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
          message: told('map.no-time-zone', { zone: show(timeZone) }),
          found: show(timeZone),
          allowed: told('map.time-zone'),
          cure: told('map.write-time-zone'),
        },
      ),
    );
  }
  return problems;
}

/** How a feature is called in a message when it has no usable id of its own. */
const placeInFile = (at: number) => told('map.feature-number', { place: String(at + 1) });

function featureProblems(raw: unknown, at: number): Problem[] {
  if (!isObject(raw)) {
    const found = shown(raw);
    return [
      problem(
        'bad-field',
        { id: placeInFile(at), field: null },
        {
          message: told('map.it-is', { found }),
          found,
          allowed: told('map.feature'),
          cure: told('map.write-feature'),
        },
      ),
    ];
  }
  const id = typeof raw.id === 'string' && raw.id !== '' ? raw.id : placeInFile(at);
  const kind = isObject(raw.properties) ? raw.properties.kind : undefined;
  if (isKind(kind)) {
    const { light, problems } = withoutBulk(raw, id);
    return problems.length > 0 ? problems : explain(featureSchemas[kind], light, id);
  }
  const [found, allowed] = [shown(kind), told('map.one-of', { words: KINDS.join(', ') })];
  const message = kind === undefined ? told('map.missing') : told('map.no-kind', { found });
  const cure = told('map.write', { allowed });
  return [problem('unknown-kind', { id, field: 'kind' }, { message, found, allowed, cure })];
}
