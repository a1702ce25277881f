import type { AreaGeometry, Feature, Position, Site } from './schema.ts';
import type { Kind, LinkKind, OtherKind, StructureKind } from './vocabulary.ts';

/** Where a zone's water goes, as far as the map tells. `share` sums to 1 unless the map itself says otherwise. */
export interface Inlet {
  to: string;
  share: number;
}

/** Ground that drains to one or more inlets. */
export interface Zone {
  id: string;
  name: string;
  properties: Feature<'zone'>['properties'];
  geometry: Feature<'zone'>['geometry'];
  /** m²: as stated, else the geodesic area of the polygon. */
  areaM2: number;
  inlets: Inlet[];
}

/** What water runs through or ends in. A union by `kind`: once that is known, so are its own properties. */
export type Structure<K extends StructureKind = StructureKind> = {
  [Each in K]: {
    id: string;
    name: string;
    kind: Each;
    properties: Feature<Each>['properties'];
    position: Position;
  };
}[K];

/** A way from one structure to another. A union by `kind`, as structures are. */
export type Link<K extends LinkKind = LinkKind> = {
  [Each in K]: {
    id: string;
    kind: Each;
    from: string;
    to: string;
    properties: Feature<Each>['properties'];
    path: Position[];
    /** Metres: as stated, else the geodesic length of the line. */
    lengthM: number;
  };
}[K];

/** What stands in the yard. Features that could not be read are not in it; `Reading.problems` has them. */
export interface SiteMap {
  site: Site;
  zones: Zone[];
  structures: Structure[];
  links: Link[];
  /** Everything else: kits, kit spots, crew posts, buildings, property lines and water. Tell them apart by `isOfKind`. */
  others: Feature<OtherKind>[];
  /** The file as it was read, with everything in it but what could not be read, for writing back. */
  file: MapFile;
}

/** Whether a feature is of one of these kinds; after that TypeScript knows its geometry and its properties. */
export function isOfKind<K extends Kind>(feature: Feature, ...kinds: readonly K[]): feature is Feature<K> {
  return kinds.some((kind) => kind === feature.properties.kind);
}

export interface MapFile {
  type: 'FeatureCollection';
  site: Site;
  features: Feature<Kind>[];
  [foreign: string]: unknown;
}

/** Plan area in m² of a separator whose length and width the map states; null for others. */
export const planAreaOf = (structure: Structure | undefined): number | null => {
  if (structure?.kind !== 'separator') return null;
  const { lengthM, widthM } = structure.properties;
  return lengthM === undefined || widthM === undefined ? null : lengthM * widthM;
};

/** The polygons of an area: a Polygon is one, a MultiPolygon many; each is its outer ring, then its holes. */
export function polygonsOf(geometry: AreaGeometry): Position[][][] {
  return geometry.type === 'Polygon' ? [geometry.coordinates] : geometry.coordinates;
}
