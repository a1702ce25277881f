import { told } from '../catalogue/index.ts';
import { isOfKind, type SiteMap } from './model.ts';
import { type Problem, problem } from './problem.ts';
import type { Position } from './schema.ts';
import { walkingGround } from './walking.ts';

/**
 * What would spoil a response to a spill: switches without a pump, diverters that lead back, valves of which nobody knows
 * how they stand, crew posts without a kit or without a way out. Each says what is assumed until it is mended.
 * O(features), and a search for a way from each crew post where buildings are drawn.
 */
export function respondingProblems(map: SiteMap): Problem[] {
  return [...devices(map), ...valves(map), ...crews(map)];
}

function devices({ structures, others }: SiteMap): Problem[] {
  const withPump = new Set(
    structures.flatMap((each) => (each.kind === 'manhole' && each.properties.pumped ? [each.id] : [])),
  );
  const manholes = new Set(structures.flatMap(({ id, kind }) => (kind === 'manhole' ? [id] : [])));
  return others.flatMap((feature): Problem[] => {
    const { id } = feature;
    if (isOfKind(feature, 'pump-switch')) {
      return feature.properties.stops.flatMap((manhole, at) => {
        // What is no manhole at all is reported as such.
        if (!manholes.has(manhole) || withPump.has(manhole)) return [];
        const [message, cure] = [told('map.no-pump', { manhole }), told('map.no-pump-remedy', { manhole })];
        const words = { message, found: manhole, allowed: told('map.pumped-manhole'), cure };
        return [problem('no-pump', { id, field: `stops[${at}]` }, words)];
      });
    }
    if (!isOfKind(feature, 'diverter') || feature.properties.at !== feature.properties.to) return [];
    const message = told('map.self-diverter', { at: feature.properties.at });
    return [problem('self-link', { id, field: 'to' }, { message, cure: told('map.mend-self-link') })];
  });
}

function valves({ structures }: SiteMap): Problem[] {
  return structures.flatMap((each) => {
    if (each.kind !== 'valve' || each.properties.state !== 'unknown') return [];
    const words = {
      message: told('map.valve-unknown'),
      found: 'unknown',
      allowed: told('map.valve-known'),
      cure: told('map.valve-unknown-remedy'),
    };
    return [problem('valve-unknown', { id: each.id, field: 'state' }, words)];
  });
}

function crews(map: SiteMap): Problem[] {
  const placed = (kind: 'crew' | 'kit') =>
    map.others.flatMap((each): { id: string; position: Position }[] =>
      isOfKind(each, kind) ? [{ id: each.id, position: each.geometry.coordinates }] : [],
    );
  const [posts, kits] = [placed('crew'), placed('kit')];
  const noKit =
    posts.length > 0 && kits.length === 0
      ? [
          problem(
            'no-kit',
            { id: posts[0].id, field: null },
            { message: told('map.no-kit'), cure: told('map.no-kit-remedy') },
          ),
        ]
      : [];
  return [...noKit, ...shutIn(map, posts, [...kits, ...map.structures])];
}

/** Posts from which nobody can walk to anything that a response may need: a courtyard without a gate. */
function shutIn(
  map: SiteMap,
  posts: readonly { id: string; position: Position }[],
  goals: readonly { position: Position }[],
): Problem[] {
  if (posts.length === 0 || goals.length === 0) return [];
  const { minutesFrom } = walkingGround(map);
  const ends = goals.map(({ position }) => position);
  return posts
    .filter(({ position }) => minutesFrom(position, ends).every((minutes) => minutes === Number.POSITIVE_INFINITY))
    .map(({ id }) =>
      problem(
        'no-way',
        { id, field: 'geometry' },
        { message: told('map.crew-shut-in'), cure: told('map.crew-shut-in-remedy') },
      ),
    );
}
