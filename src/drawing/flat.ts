import type { Position } from '../site-map/index.ts';

/** A place on the flat map (Mercator, as the map library uses it), in its pixels at zoom 0. x points east, y south. */
export type Flat = readonly [x: number, y: number];

const WORLD = 256;
/** Circumference of the sphere that the projection uses, in metres. */
const AROUND_M = 2 * Math.PI * 6_378_137;

/** Longitude and latitude, in degrees, to the flat map. */
export function flatOf([lon, lat]: Position): Flat {
  const south = Math.log(Math.tan(Math.PI / 4 + (lat * Math.PI) / 360));
  return [WORLD * (lon / 360 + 0.5), WORLD * (0.5 - south / (2 * Math.PI))];
}

/** The flat map back to [longitude, latitude]. */
export function positionOf([x, y]: Flat): [lon: number, lat: number] {
  const south = Math.PI * (1 - (2 * y) / WORLD);
  return [(x / WORLD - 0.5) * 360, (Math.atan(Math.sinh(south)) * 180) / Math.PI];
}

/** Metres on the ground for one unit of the flat map, at a latitude in degrees. */
export function metresPerFlat(lat: number): number {
  return (AROUND_M * Math.cos((lat * Math.PI) / 180)) / WORLD;
}

/** From flat to the drawing: pixels = flat × scale + shift. */
export interface Transform {
  scale: number;
  x: number;
  y: number;
}

export const toPixels = ({ scale, x, y }: Transform, [fx, fy]: Flat): Flat => [fx * scale + x, fy * scale + y];

/** An SVG path through places; `isClosed` joins the last to the first. */
export function pathOf(places: readonly Flat[], transform: Transform, isClosed = false): string {
  const steps = places.map((place, at) => {
    const [x, y] = toPixels(transform, place);
    return `${at === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`;
  });
  return steps.join('') + (isClosed ? 'Z' : '');
}

export interface Bounds {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

/** The smallest box around places; null without any. */
export function boundsOf(places: readonly Flat[]): Bounds | null {
  if (places.length === 0) return null;
  const bounds = { left: Number.POSITIVE_INFINITY, top: Number.POSITIVE_INFINITY, right: -Infinity, bottom: -Infinity };
  for (const [x, y] of places) {
    bounds.left = Math.min(bounds.left, x);
    bounds.right = Math.max(bounds.right, x);
    bounds.top = Math.min(bounds.top, y);
    bounds.bottom = Math.max(bounds.bottom, y);
  }
  return bounds;
}

/** The transform that shows a box as large as fits in `width` × `height` pixels, centred, with a margin around it. */
export function fitTo(
  bounds: Bounds,
  { width, height, margin }: { width: number; height: number; margin: number },
): Transform {
  const across = Math.max(bounds.right - bounds.left, 1e-12);
  const down = Math.max(bounds.bottom - bounds.top, 1e-12);
  const scale = Math.min((width - 2 * margin) / across, (height - 2 * margin) / down);
  return {
    scale,
    x: width / 2 - ((bounds.left + bounds.right) / 2) * scale,
    y: height / 2 - ((bounds.top + bounds.bottom) / 2) * scale,
  };
}
