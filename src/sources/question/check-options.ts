import { told } from '../../catalogue/index.ts';
import type { Drainage } from '../../drainage/index.ts';
import {
  idRemedy,
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
  const found = show(at);
  const message = nodeOf.has(at)
    ? told('sources.at-is-zone', { id: found })
    : told('map.no-such-id', { id: found, named: 'structure' });
  const ids = map.structures.map(({ id }) => id);
  const cure = idRemedy(at, ids, told('sources.structure-remedy'));
  const allowed = told('map.id-of', { named: 'structure' });
  return [problem('unknown-id', { id: at, field: '--at' }, { message, found, allowed, cure }), ...problems];
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
    const found = show(from);
    const message = isThere ? told('sources.no-standing', { id: found }) : told('sources.no-feature', { id: found });
    const allowed = told('sources.start-allowed');
    const stands = [...map.structures, ...zones, ...others].map(({ id }) => id);
    const cure = idRemedy(from, stands, told('sources.start-remedy'));
    return [problem('unknown-id', { id: from, field: '--from' }, { message, found, allowed, cure })];
  }
  const nearest = Math.min(...map.structures.map(({ position }) => lengthOf([from, position])));
  if (map.structures.length === 0 || nearest <= FARTHEST_START_M) return [];
  const found = `${from[0]},${from[1]}`;
  return [
    problem(
      'bad-field',
      { id: found, field: '--from' },
      {
        message: told('sources.start-far', { km: Math.round(nearest / 1000) }),
        found,
        allowed: told('sources.start-within', { km: FARTHEST_START_M / 1000 }),
        cure: told('sources.start-far-remedy'),
      },
    ),
  ];
}
