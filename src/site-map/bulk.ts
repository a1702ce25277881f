import { type Told, told } from '../catalogue/index.ts';
import { type Problem, problem, shown } from './problem.ts';
import { isObject } from './unknown.ts';

/** How many members each level of a geometry's coordinates has at least (RFC 7946 §3.1); the innermost are numbers. */
const LEVELS: Record<string, readonly number[]> = {
  Point: [2],
  LineString: [2, 2],
  Polygon: [1, 4, 2],
  MultiPolygon: [1, 1, 4, 2],
};
const POSITION = [0, 0];
/** The shortest sound coordinates of each. */
const SHORTEST: Record<string, unknown> = {
  Point: POSITION,
  LineString: [POSITION, POSITION],
  Polygon: [[POSITION, POSITION, POSITION, POSITION]],
  MultiPolygon: [[[POSITION, POSITION, POSITION, POSITION]]],
};

/** A list as long as this that is wrong throughout is not explained member by member. */
const LONG = 10_000;
/** Members of a list in a feature's properties, or in the site. */
const MOST_LISTED = 1000;
const LISTS = ['controls', 'fluids', 'drainsTo', 'contacts', 'stops', 'places', 'chambers', 'responders'];

/**
 * A feature as it is held against its schema: sound coordinates are looked at here, in one pass that keeps nothing, and
 * stand in it in their shortest form. Coordinates that are long and wrong are one problem, not one for each number.
 * O(coordinates).
 */
export function withoutBulk(
  feature: Record<string, unknown>,
  id: string | Told,
): { light: Record<string, unknown>; problems: Problem[] } {
  const { geometry, properties } = feature;
  const problems = longLists(properties, id, '');
  if (problems.length > 0 || !isObject(geometry)) return { light: feature, problems };
  const { type, coordinates } = geometry;
  const levels = typeof type === 'string' && Object.hasOwn(LEVELS, type) ? LEVELS[type] : null;
  if (levels === null) return { light: feature, problems };
  const wrong = firstWrong(coordinates, levels, 0);
  if (wrong !== null && !isLong(coordinates)) return { light: feature, problems };
  if (wrong !== null) {
    const field = `geometry.coordinates${wrong.map((at) => `[${at}]`).join('')}`;
    const [message, allowed] = [told('map.first-wrong-coordinate'), told('map.positions')];
    problems.push(problem('bad-field', { id, field }, { message, allowed, cure: told('map.write', { allowed }) }));
  }
  return { light: { ...feature, geometry: { ...geometry, coordinates: SHORTEST[String(type)] } }, problems };
}

/** Lists of an object that are longer than any yard needs. */
export function longLists(value: unknown, id: string | Told | null, path: string): Problem[] {
  if (!isObject(value)) return [];
  return LISTS.flatMap((key) => {
    const list = Object.hasOwn(value, key) ? value[key] : undefined;
    if (!Array.isArray(list) || list.length <= MOST_LISTED) return [];
    const allowed = told('map.list-at-most', { most: MOST_LISTED });
    const words = { message: told('map.it-is', { found: shown(list) }), allowed, cure: told('map.write', { allowed }) };
    return [problem('bad-field', { id, field: `${path}${key}` }, words)];
  });
}

/** Where coordinates are first wrong; null where they are sound. */
function firstWrong(value: unknown, levels: readonly number[], level: number): number[] | null {
  if (level === levels.length) return Number.isFinite(value) ? null : [];
  if (!Array.isArray(value) || value.length < levels[level]) return [];
  for (let at = 0; at < value.length; at++) {
    const inner = firstWrong(value[at], levels, level + 1);
    if (inner !== null) return [at, ...inner];
  }
  return null;
}

/** Whether there are so many lists in it, or so many members in one, that it is long. */
function isLong(coordinates: unknown): boolean {
  const open = [coordinates];
  let count = 0;
  for (let part = open.pop(); part !== undefined && count <= LONG; part = open.pop()) {
    if (!Array.isArray(part)) continue;
    count += part.length;
    if (part.length <= LONG) for (const each of part) if (Array.isArray(each)) open.push(each);
  }
  return count > LONG;
}
