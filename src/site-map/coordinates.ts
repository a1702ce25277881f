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

/** Features off the globe: named one by one, or in one line when it is most of the map. */
export function coordinateProblems(features: readonly Feature[]): Problem[] {
  const off = features.flatMap((feature) => {
    const position = firstPositionOff(feature.geometry);
    return position ? [{ id: feature.id, position }] : [];
  });
  const describe = ([lon, lat]: Position) => ({
    message: `${show(lon)}, ${show(lat)} is no longitude and latitude; it looks projected (metres or feet)`,
    found: `${show(lon)}, ${show(lat)}`,
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
