import { type Told, told } from '../../catalogue/index.ts';
import type { Position } from '../schema.ts';
import { memberOf } from '../unknown.ts';

/** What a source feature's geometry is made of: the parts of points or lines, another type, or nothing usable. */
export type Parts =
  | { shape: 'point' | 'line'; parts: unknown[] }
  | { shape: 'other'; type: string }
  | { shape: 'broken'; reason: Told };

const SHAPES = new Map<string, 'point' | 'line'>([
  ['Point', 'point'],
  ['MultiPoint', 'point'],
  ['LineString', 'line'],
  ['MultiLineString', 'line'],
]);

const broken = (reason: Told): Parts => ({ shape: 'broken', reason });

/** Takes a GeoJSON geometry apart. A MultiPoint or MultiLineString has as many parts as it has members. */
export function partsOf(geometry: unknown): Parts {
  if (typeof geometry !== 'object' || geometry === null) return broken(told('import.no-geometry'));
  const [type, coordinates] = [memberOf(geometry, 'type'), memberOf(geometry, 'coordinates')];
  if (typeof type !== 'string') return broken(told('import.no-geometry-type'));
  const shape = SHAPES.get(type);
  if (shape === undefined) return { shape: 'other', type };
  if (!Array.isArray(coordinates)) return broken(told('import.no-coordinates', { type }));
  if (!type.startsWith('Multi')) return { shape, parts: [coordinates] };
  return coordinates.length > 0 ? { shape, parts: coordinates } : broken(told('import.empty-geometry', { type }));
}

export function isPosition(value: unknown): value is Position {
  return Array.isArray(value) && value.length >= 2 && value.every((each) => Number.isFinite(each));
}

export function isOnGlobe([lon, lat]: Position): boolean {
  return Math.abs(lon) <= 180 && Math.abs(lat) <= 90;
}

/** The positions of a part that can be a structure (one) or a link; where it can be neither, why. O(positions). */
export function positionsOf(shape: 'point' | 'line', part: unknown): Position[] | Told {
  if (shape === 'point') return isPosition(part) ? [part] : told('import.bad-position');
  if (!Array.isArray(part) || part.length < 2) return told('import.short-line');
  if (!part.every(isPosition)) return told('import.bad-positions');
  const [lon, lat] = part[0];
  return part.every((each) => each[0] === lon && each[1] === lat) ? told('import.no-length') : part;
}
