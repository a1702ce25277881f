import type { Drainage } from '../../drainage/index.ts';
import {
  idCure,
  lengthOf,
  type Position,
  type Problem,
  problem,
  type SiteMap,
  show,
  walkerPosition,
} from '../../site-map/index.ts';
import type { SourcesOptions } from './question.ts';

/**
 * What is wrong with the options of a question, none if they fit the map: `unknown-id` for a point that is no structure or a place where
 * nobody can stand, `bad-field` for a position too far away. All are told at once, each with a cure. O(features).
 */
export function checkOptions({ map, nodeOf }: Drainage, { at, from }: SourcesOptions): Problem[] {
  const problems = from === undefined ? [] : checkStart(map, from);
  if (at === undefined || map.structures.some(({ id }) => id === at)) return problems;
  const message = nodeOf.has(at)
    ? `${show(at)} is a zone, where oil is not collected`
    : `no structure has the id ${show(at)}`;
  const ids = map.structures.map(({ id }) => id);
  const cure = idCure(at, ids, 'name a structure of the map');
  return [
    problem(
      'unknown-id',
      { id: at, field: '--at' },
      { message, found: show(at), allowed: 'the id of a structure', cure },
    ),
    ...problems,
  ];
}

/** Nobody walks to a lid from farther away, in metres: the place was mistaken. */
const FARTHEST_START_M = 10_000;

/**
 * What is wrong with where the walker is said to stand. A position far from the yard is taken for latitude and longitude in
 * the wrong order, and the cure says so. O(structures).
 */
function checkStart(map: SiteMap, from: string | Position): Problem[] {
  if (typeof from === 'string') {
    if (walkerPosition(map, from)) return [];
    const { zones, links, others } = map;
    const isThere = [...zones, ...links, ...others].some(({ id }) => id === from);
    const message = isThere
      ? `${show(from)} is on the map, but is no place where one stands`
      : `nothing on the map has the id ${show(from)}`;
    const allowed = 'the id of a structure, kit, crew post or zone, or longitude and latitude';
    const stands = [...map.structures, ...zones, ...others].map(({ id }) => id);
    const cure = idCure(from, stands, 'name a structure, a kit, a crew post or a zone of the map');
    return [problem('unknown-id', { id: from, field: '--from' }, { message, found: show(from), allowed, cure })];
  }
  const nearest = Math.min(...map.structures.map(({ position }) => lengthOf([from, position])));
  if (map.structures.length === 0 || nearest <= FARTHEST_START_M) return [];
  const found = `${from[0]},${from[1]}`;
  return [
    problem(
      'bad-field',
      { id: found, field: '--from' },
      {
        message: `it is ${Math.round(nearest / 1000)} km from the nearest structure of this map`,
        found,
        allowed: `a place within ${FARTHEST_START_M / 1000} km`,
        cure: 'write longitude first, then latitude, of a place in the yard',
      },
    ),
  ];
}
