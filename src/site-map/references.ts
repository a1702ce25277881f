import { told } from '../catalogue/index.ts';
import { idRemedy } from './meant.ts';
import type { SiteMap } from './model.ts';
import { type Problem, problem, show } from './problem.ts';
import type { Feature } from './schema.ts';

/** What an id must name. */
type Named = 'structure' | 'zone' | 'manhole';

/** A field that names something on the map. */
interface Reference {
  id: string;
  field: string;
  to: string;
  named: Named;
}

/**
 * Fields that name what is not on the map, or what is there but of another sort. Something broken has been reported
 * itself. `standing` tells ids of broken features, and ids that are on the map at all. O(references + features).
 */
export function referenceProblems(map: SiteMap, standing: (id: string) => 'broken' | 'other' | 'none'): Problem[] {
  const structures = map.structures.map(({ id }) => id);
  const ids: Record<Named, ReadonlySet<string>> = {
    structure: new Set(structures),
    zone: new Set(map.zones.map(({ id }) => id)),
    manhole: new Set(map.structures.flatMap(({ id, kind }) => (kind === 'manhole' ? [id] : []))),
  };
  const forms = new Map([...structures, ...ids.zone].map((id) => [id.normalize('NFC'), id]));
  return referencesOf(map).flatMap(({ id, field, to, named }) => {
    const state = standing(to);
    if (ids[named].has(to) || state === 'broken') return [];
    const found = show(to);
    const message =
      state === 'other'
        ? told('map.other-sort', { id: found, named })
        : told(forms.has(to.normalize('NFC')) ? 'map.other-characters' : 'map.no-such-id', { id: found, named });
    const cure = idRemedy(to, ids[named], told('map.write-id-or-draw', { named }));
    return [problem('unknown-id', { id, field }, { message, found, allowed: told('map.id-of', { named }), cure })];
  });
}

function referencesOf(map: SiteMap): Reference[] {
  return [
    ...map.zones.flatMap(({ id, properties }) => inletsNamed(id, properties.drainsTo)),
    ...map.structures.flatMap(({ id, properties: { spillsTo } }) =>
      spillsTo === undefined ? [] : [structureNamed(id, 'spillsTo', spillsTo)],
    ),
    ...map.links.flatMap(({ id, from, to }) => [structureNamed(id, 'from', from), structureNamed(id, 'to', to)]),
    ...map.others.flatMap(({ id, properties }) => othersNamed(id, properties)),
  ];
}

function othersNamed(id: string, properties: SiteMap['others'][number]['properties']): Reference[] {
  switch (properties.kind) {
    case 'fuel-stop':
      return properties.stops.map((to, at) => ({ id, field: `stops[${at}]`, to, named: 'zone' }));
    case 'pump-switch':
      return properties.stops.map((to, at) => ({ id, field: `stops[${at}]`, to, named: 'manhole' }));
    case 'diverter':
      return [structureNamed(id, 'at', properties.at), structureNamed(id, 'to', properties.to)];
    case 'run-on':
      return inletsNamed(id, properties.drainsTo);
    case 'kit':
    case 'kit-spot':
    case 'crew':
    case 'building':
    case 'property-line':
    case 'water':
      return [];
    default:
      return properties satisfies never;
  }
}

const structureNamed = (id: string, field: string, to: string): Reference => ({ id, field, to, named: 'structure' });

function inletsNamed(id: string, drainsTo: Feature<'zone' | 'run-on'>['properties']['drainsTo']): Reference[] {
  if (drainsTo === undefined) return [];
  if (typeof drainsTo === 'string') return [structureNamed(id, 'drainsTo', drainsTo)];
  return drainsTo.map(({ to }, at) => structureNamed(id, `drainsTo[${at}].to`, to));
}
