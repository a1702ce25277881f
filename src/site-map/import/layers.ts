import { type Told, told } from '../../catalogue/index.ts';
import { parseJson } from '../json.ts';
import { type Problem, problem, shown } from '../problem.ts';
import type { Position } from '../schema.ts';
import { memberOf } from '../unknown.ts';
import { isOnGlobe, partsOf, positionsOf } from './geometry.ts';

/** A GIS layer as it comes: a name for messages (usually the file's) and its GeoJSON text. */
export interface Layer {
  name: string;
  text: string;
}

/** A feature of a layer, with all that the source says of it. */
export interface SourceFeature {
  layer: string;
  /** 1, 2, 3 … in its layer. */
  place: number;
  /** The source's own id; null where it has none. */
  id: string | number | null;
  properties: unknown;
  geometry: unknown;
}

/** How a source feature is called in a message. */
export function inLayer({ layer, place, id }: SourceFeature): Told {
  return id === null
    ? told('import.source-place', { layer, place: String(place) })
    : told('import.source-id', { layer, id: String(id) });
}

/** The features of all layers in their order; a text that is no GeoJSON gives a problem and no features. O(text). */
export function readLayers(layers: readonly Layer[]): { features: SourceFeature[]; problems: Problem[] } {
  const features: SourceFeature[] = [];
  const problems: Problem[] = [];
  for (const { name, text } of layers) {
    const parsed = parseJson(text, 'warn');
    problems.push(
      ...parsed.problems.map((each) => ({
        ...each,
        id: each.id === null ? name : told('import.source-id', { layer: name, id: each.id }),
      })),
    );
    if (parsed.value === undefined) continue;
    const members = membersOf(parsed.value);
    if (members === undefined) problems.push(notALayer(name, parsed.value));
    for (const [at, raw] of (members ?? []).entries()) features.push(sourceFeature(name, at + 1, raw));
  }
  return { features, problems };
}

function notALayer(name: string, value: unknown): Problem {
  const type = memberOf(value, 'type');
  return problem(
    'bad-file',
    { id: name, field: null },
    {
      message: told('map.no-features'),
      found: shown(type),
      allowed: told('import.layer-allowed'),
      cure: told('import.export-layer'),
    },
  );
}

function membersOf(value: unknown): unknown[] | undefined {
  const [type, features] = [memberOf(value, 'type'), memberOf(value, 'features')];
  if (type === 'Feature') return [value];
  return type === 'FeatureCollection' && Array.isArray(features) ? features : undefined;
}

function sourceFeature(layer: string, place: number, raw: unknown): SourceFeature {
  const [id, properties, geometry] = ['id', 'properties', 'geometry'].map((key) => memberOf(raw, key));
  const isId = typeof id === 'number' || (typeof id === 'string' && id.trim() !== '');
  return { layer, place, id: isId ? id : null, properties: properties ?? null, geometry: geometry ?? null };
}

/**
 * The middle of the layers: the median longitude and latitude of where their features begin. Features off the globe or
 * without sound coordinates do not count; null when none is left. O(features · log(features)).
 */
export function middleOf(features: readonly SourceFeature[]): Position | null {
  const starts = features.flatMap(({ geometry }): Position[] => {
    const read = partsOf(geometry);
    if (read.shape !== 'point' && read.shape !== 'line') return [];
    const [part] = read.parts;
    const positions = positionsOf(read.shape, part);
    return Array.isArray(positions) && isOnGlobe(positions[0]) ? [positions[0]] : [];
  });
  if (starts.length === 0) return null;
  const median = (axis: number) => Float64Array.from(starts, (start) => start[axis]).sort()[starts.length >> 1];
  return [median(0), median(1)];
}
