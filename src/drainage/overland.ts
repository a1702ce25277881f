import { power } from '../algorithms/index.ts';
import { lengthOf, type Position, polygonsOf, type Zone } from '../site-map/index.ts';
import { METRES_PER_FOOT, MM_PER_INCH } from '../units/index.ts';

type Surface = NonNullable<Zone['properties']['surface']>;

/**
 * Shallow concentrated flow, V = k·√S in m/s (NRCS, National Engineering Handbook 630, table 15-3: 20.328 ft/s paved and
 * 16.135 ft/s unpaved; the same in Technical Release 55, 1986). The fall is taken as 0.001 where it is less.
 */
const PAVED_MPS = 6.196;
const UNPAVED_MPS = 4.918;
/** Ground that falls less counts as falling by this. */
export const LEAST_FALL = 0.001;

const PAVED: readonly Surface[] = ['asphalt', 'concrete', 'roof'];

/** Asphalt where the map states no surface, as for runoff. */
export const isPaved = (surface: Surface | undefined): boolean => PAVED.includes(surface ?? 'asphalt');

/**
 * Speed of oil and water over the ground, m/s, for a slope of fall ÷ length (0.02 is 2 %). At least 0.196 m/s on paved
 * ground and 0.156 m/s on other. O(1). It is the speed of water in a shallow stream; a thick oil in dry weather is
 * slower, and what soaks in never arrives.
 */
export function overlandMps(slope: number, paved: boolean): number {
  return (paved ? PAVED_MPS : UNPAVED_MPS) * Math.sqrt(Math.max(LEAST_FALL, slope));
}

/** A zone's fall ÷ length where the map states none. A guess. */
export const DEFAULT_ZONE_SLOPE = 0.02;

/**
 * Fall ÷ length of a zone's ground, 0.02 where the map states none; a flat or negative one is left as it is, for
 * `overlandMps` to lift.
 */
export const zoneSlope = ({ properties }: Zone): number => properties.slope ?? DEFAULT_ZONE_SLOPE;

/**
 * Minutes over a zone's ground for a path in metres, 0 or more; null is ground outside every zone, taken as paved and
 * with a zone's default fall. All of the path is taken to fall alike. O(1).
 */
export function overlandMinutes(zone: Zone | null, metres: number): number {
  const mps = zone
    ? overlandMps(zoneSlope(zone), isPaved(zone.properties.surface))
    : overlandMps(DEFAULT_ZONE_SLOPE, true);
  return metres / mps / 60;
}

/**
 * Minutes of sheet flow, the thin film before water gathers: TR-55, t[h] = 0.007 (n·L)^0.8 ÷ (P₂^0.5 S^0.4) with L in
 * feet and P₂, the 24-hour rain of every second year, in inches (NRCS, National Engineering Handbook 630, equation 15-8).
 * For lengths to 30 m (100 ft) or so. Roughness (table 15-1; it is not the n of pipes) and rain, in mm, are above 0, the
 * length in m 0 or more; the slope is taken as 0.001 where it is less. No length takes no time. O(1).
 */
export function sheetFlowMinutes({
  roughness,
  lengthM,
  slope,
  rain2yMm,
}: {
  roughness: number;
  lengthM: number;
  slope: number;
  rain2yMm: number;
}): number {
  const hours =
    (0.007 * power((roughness * lengthM) / METRES_PER_FOOT, 0.8)) /
    (Math.sqrt(rain2yMm / MM_PER_INCH) * power(Math.max(LEAST_FALL, slope), 0.4));
  return 60 * hours;
}

/** Roughness for sheet flow (NRCS, National Engineering Handbook 630, table 15-1): smooth ground 0.011, bare soil as fallow 0.05, short grass 0.15; gravel as bare soil, a guess. */
const SHEET_ROUGHNESS: Readonly<Record<Surface, number>> = {
  asphalt: 0.011,
  concrete: 0.011,
  roof: 0.011,
  gravel: 0.05,
  soil: 0.05,
  grass: 0.15,
};
const LONGEST_SHEET_M = 30.48;
/** P₂ in mm, a guess for a temperate place: it counts by its square root only. */
const DEFAULT_RAIN_2Y_MM = 60;

/**
 * Minutes that a zone's farthest corner takes to get to an inlet: sheet flow over the first 30 m (100 ft), then shallow
 * concentrated flow. O(corners). The way is straight, as if the ground fell evenly to the inlet, so on a yard with
 * gutters, walls or ridges it is too short. The inlet is longitude and latitude in degrees, and may lie outside the zone.
 */
export function concentrationMinutes(zone: Zone, inlet: Position): number {
  const corners = polygonsOf(zone.geometry).flatMap(([outer]) => outer);
  const metres = corners.reduce((most, corner) => Math.max(most, lengthOf([corner, inlet])), 0);
  const sheetM = Math.min(metres, LONGEST_SHEET_M);
  const roughness = SHEET_ROUGHNESS[zone.properties.surface ?? 'asphalt'];
  return (
    sheetFlowMinutes({ roughness, lengthM: sheetM, slope: zoneSlope(zone), rain2yMm: DEFAULT_RAIN_2Y_MM }) +
    overlandMinutes(zone, metres - sheetM)
  );
}
