import type { Feature, Position, Site } from './schema.ts';
import type { Kind, LinkKind, StructureKind } from './vocabulary.ts';

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

export interface Structure {
  id: string;
  name: string;
  kind: StructureKind;
  properties: Feature<'catch-basin' | 'separator' | 'outfall'>['properties'];
  position: Position;
}

export interface Link {
  id: string;
  kind: LinkKind;
  from: string;
  to: string;
  properties: Feature<LinkKind>['properties'];
  path: Position[];
  /** Metres: as stated, else the geodesic length of the line. */
  lengthM: number;
}

/** What stands in the yard. Features that could not be read are not in it; `Reading.problems` has them. */
export interface SiteMap {
  site: Site;
  zones: Zone[];
  structures: Structure[];
  links: Link[];
  /** Kits, kit spots, crew posts, buildings, property lines and water. */
  others: Feature<'kit' | 'kit-spot' | 'crew' | 'building' | 'property-line' | 'water'>[];
  /** The file as it was read, with everything in it but what could not be read, for writing back. */
  file: MapFile;
}

export interface MapFile {
  type: 'FeatureCollection';
  site: Site;
  features: Feature<Kind>[];
  [foreign: string]: unknown;
}
