import { areaOf, lengthOf } from './measure.ts';
import { isOfKind, type Link, type SiteMap, type Structure, type Zone } from './model.ts';
import type { Feature } from './schema.ts';
import { LINK_KINDS, type LinkKind, STRUCTURE_KINDS, type StructureKind } from './vocabulary.ts';

/** Puts a feature where it belongs on the map, measured; where zones drain to is filled in later. O(positions). */
export function addFeature(map: SiteMap, feature: Feature): void {
  if (isOfKind(feature, 'zone')) map.zones.push(zoneOf(feature));
  else if (isOfKind(feature, ...STRUCTURE_KINDS)) map.structures.push(structureOf(feature));
  else if (isOfKind(feature, ...LINK_KINDS)) map.links.push(linkOf(feature));
  else map.others.push(feature);
}

const nameOf = ({ id, properties: { name } }: Feature): string => name || id;

function zoneOf(feature: Feature<'zone'>): Zone {
  const { id, properties, geometry } = feature;
  const areaM2 = properties.areaM2 ?? areaOf(geometry);
  return { id, name: nameOf(feature), properties, geometry, areaM2, inlets: [] };
}

/** The kind stands beside its own properties, which TypeScript cannot follow through a union. */
function structureOf(feature: Feature<StructureKind>): Structure {
  const { id, properties, geometry } = feature;
  const { kind } = properties;
  return { id, name: nameOf(feature), kind, properties, position: geometry.coordinates } as Structure;
}

function linkOf({ id, properties, geometry: { coordinates } }: Feature<LinkKind>): Link {
  const { kind, from, to, lengthM = lengthOf(coordinates) } = properties;
  return { id, kind, from, to, properties, path: coordinates, lengthM } as Link;
}
