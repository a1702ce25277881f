import { told } from '../catalogue/index.ts';
import { type Problem, problem, show } from './problem.ts';
import type { Feature, Position } from './schema.ts';

const isOnEarth = ([lon, lat]: Position) => Math.abs(lon) <= 180 && Math.abs(lat) <= 90;

/** The first position of a geometry that is off the globe; undefined where all are on it. */
function firstPositionOff(geometry: Feature['geometry']): Position | undefined {
  const isOff = (position: Position) => !isOnEarth(position);
  switch (geometry.type) {
    case 'Point':
      return isOff(geometry.coordinates) ? geometry.coordinates : undefined;
    case 'LineString':
      return geometry.coordinates.find(isOff);
    case 'Polygon':
      return firstIn(geometry.coordinates, isOff);
    case 'MultiPolygon':
      return geometry.coordinates.map((polygon) => firstIn(polygon, isOff)).find((found) => found !== undefined);
  }
}

function firstIn(rings: readonly Position[][], isOff: (position: Position) => boolean): Position | undefined {
  for (const ring of rings) {
    const found = ring.find(isOff);
    if (found) return found;
  }
  return undefined;
}

const pair = ([lon, lat]: Position) => `${show(lon)}, ${show(lat)}`;

/** Features off the globe: named one by one, or in one line when it is most of the map. */
export function coordinateProblems(features: readonly Feature[]): Problem[] {
  const off = features.flatMap((feature) => {
    const position = firstPositionOff(feature.geometry);
    return position ? [{ id: feature.id, position }] : [];
  });
  const field = 'geometry.coordinates';
  const words = { allowed: told('map.on-globe'), cure: told('map.export-wgs84') };
  if (off.length > 3 && off.length > features.length / 2) {
    const [{ id, position }] = off;
    const found = pair(position);
    const message = told('map.mostly-projected', { off: off.length, count: features.length, id, found });
    return [problem('projected-coordinates', { id: null, field }, { message, found, ...words })];
  }
  return off.map(({ id, position }) => {
    const found = pair(position);
    return problem(
      'projected-coordinates',
      { id, field },
      { message: told('map.projected', { found }), found, ...words },
    );
  });
}
