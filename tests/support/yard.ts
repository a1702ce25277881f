import { compileDrainage, type Drainage } from '../../src/drainage/index.ts';
import { hasErrors, readSiteMap, type SiteMap } from '../../src/site-map/index.ts';

/** A yard in a few words, for tests: places lie on a small grid, so geometry is sound and of no importance. */
export interface YardWords {
  site?: Record<string, unknown>;
  /** Zones by id. */
  zones?: Record<string, Record<string, unknown>>;
  /** Structures by id. */
  structures: Record<string, Record<string, unknown> & { kind: string }>;
  /** Links by id; pipes unless another kind is given. */
  links?: Record<string, Record<string, unknown> & { from: string; to: string }>;
  others?: unknown[];
}

const STEP = 0.0005;

/** The GeoJSON text of a yard. */
export function yardText({ site, zones = {}, structures, links = {}, others = [] }: YardWords): string {
  const positions = new Map<string, [number, number]>();
  Object.keys(structures).forEach(
    (id, at) => void positions.set(id, [-105 + STEP * (at % 20), 40 - STEP * Math.floor(at / 20)]),
  );
  const square = (at: number) => {
    const [lon, lat] = [-105 + STEP * at, 40.01];
    const edge = STEP * 0.8;
    return [
      [
        [lon, lat],
        [lon + edge, lat],
        [lon + edge, lat + edge],
        [lon, lat + edge],
        [lon, lat],
      ],
    ];
  };
  const features = [
    ...Object.entries(zones).map(([id, properties], at) => ({
      type: 'Feature',
      id,
      properties: { kind: 'zone', activity: 'parking', ...properties },
      geometry: { type: 'Polygon', coordinates: square(at) },
    })),
    ...Object.entries(structures).map(([id, properties]) => ({
      type: 'Feature',
      id,
      properties,
      geometry: { type: 'Point', coordinates: positions.get(id) },
    })),
    ...Object.entries(links).map(([id, properties]) => ({
      type: 'Feature',
      id,
      properties: { kind: 'pipe', ...properties },
      geometry: {
        type: 'LineString',
        coordinates: [positions.get(properties.from) ?? [-105, 40], positions.get(properties.to) ?? [-105, 40]],
      },
    })),
    ...others,
  ];
  return JSON.stringify({ type: 'FeatureCollection', site: { format: 'oilshed-site', version: 1, ...site }, features });
}

/** A yard without errors, read from its text. */
export function yardMap(words: YardWords): SiteMap {
  const { map, problems } = readSiteMap(yardText(words));
  if (hasErrors(problems)) throw new Error(JSON.stringify(problems));
  return map;
}

export const yard = (words: YardWords): Drainage => compileDrainage(yardMap(words));
