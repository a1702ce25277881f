import { isOfKind, lengthOf, metreFrame, type Position, polygonsOf, type SiteMap } from '../site-map/index.ts';

/** A place where a kit may stand. */
export interface Spot {
  /** The map's `kit-spot` or `kit`; null for a place that was made up. */
  id: string | null;
  position: Position;
  /** A kit stands here already. */
  isTaken: boolean;
  /** What it costs to put one up here, in the site's currency; null where the map does not say. */
  cost: number | null;
}

/** Metres between places made up along edges of zones and walls of buildings, on maps without spots. */
const STEP_M = 15;
/** More places than this make no yard's plan better: they are thinned evenly. */
const MOST_MADE = 150;
/** Places nearer to each other than this are one. */
const SAME_M = 2;

/**
 * The map's kit spots in its order; without any, places every 15 m along the edges of zones and the walls of buildings,
 * thinned evenly to 150. A plan is the best of the spots that come back; a place beside one of them may be better by
 * the walk between the two, and by no more. O(positions).
 */
export function spotsOf(map: SiteMap): Spot[] {
  const drawn = map.others.flatMap((feature): Spot[] => {
    if (!isOfKind(feature, 'kit-spot')) return [];
    const { id, properties, geometry } = feature;
    return [{ id, position: geometry.coordinates, isTaken: false, cost: properties.cost ?? null }];
  });
  return drawn.length > 0 ? drawn : madeUp(map);
}

/** The kits that stand already, in the map's order. */
export function existingKits({ others }: SiteMap): Spot[] {
  return others.flatMap((feature): Spot[] =>
    isOfKind(feature, 'kit')
      ? [{ id: feature.id, position: feature.geometry.coordinates, isTaken: true, cost: 0 }]
      : [],
  );
}

function madeUp({ zones, others }: SiteMap): Spot[] {
  const lines = [
    ...zones.flatMap(({ geometry }) => polygonsOf(geometry).map(([outer]) => outer)),
    ...others.flatMap((feature) => {
      if (!isOfKind(feature, 'building')) return [];
      const { geometry } = feature;
      return geometry.type === 'LineString' ? [geometry.coordinates] : polygonsOf(geometry).map(([outer]) => outer);
    }),
  ];
  const points = lines.flatMap(everyStep);
  if (points.length === 0) return [];
  // One for each square of the ground, so that shared edges do not count twice.
  const frame = metreFrame(points[0]);
  const squares = new Map(
    points.map((point) => [
      frame
        .toMetres(point)
        .map((metres) => Math.round(metres / SAME_M))
        .join(),
      point,
    ]),
  );
  const places = [...squares.values()];
  const part = Math.max(1, places.length / MOST_MADE);
  return Array.from({ length: Math.floor(places.length / part) }, (_, at) => ({
    id: null,
    position: places[Math.floor(at * part)],
    isTaken: false,
    cost: null,
  }));
}

/** Points along a line, evenly, no more than a step apart; its ends among them. */
function everyStep(line: readonly Position[]): Position[] {
  return line.slice(1).flatMap((end, at) => {
    const start = line[at];
    const parts = Math.max(1, Math.ceil(lengthOf([start, end]) / STEP_M));
    return Array.from({ length: parts }, (_, part): Position => {
      const along = part / parts;
      return [start[0] + along * (end[0] - start[0]), start[1] + along * (end[1] - start[1])];
    });
  });
}
