import type { DrawnYard } from './drawn.ts';
import { type Flat, toPixels } from './flat.ts';

/** Where each structure, kit and spot stands and each zone has its middle, in pixels. */
export function placesOf({ flat, transform }: Pick<DrawnYard, 'flat' | 'transform'>): Map<string, Flat> {
  const places = new Map<string, Flat>();
  for (const { id, at } of flat.others) if (at) places.set(id, toPixels(transform, at));
  for (const { zone, spots } of flat.zones) {
    const spot = spots[1] ?? spots[0];
    if (spot) places.set(zone.id, toPixels(transform, spot));
  }
  for (const { structure, at } of flat.structures) places.set(structure.id, toPixels(transform, at));
  return places;
}
