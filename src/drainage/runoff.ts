import type { Zone } from '../site-map/index.ts';

export type Surface = NonNullable<Zone['properties']['surface']>;

/**
 * Runoff coefficient by surface, 0 to 1, where a zone states none. Each within a published range:
 * asphalt 0.70 to 0.95, concrete 0.80 to 0.95, lawns on heavy, flat to average ground 0.13 to 0.22, bare packed soil 0.30
 * to 0.60 (ASCE's table, also in FHWA HEC-22, table 3-1), gravel lots 0.75 to 0.80 (Everett, Washington, 1979, storm
 * sewer standard, table 1), roofs 0.75 to 0.95 (from memory).
 */
export const DEFAULT_RUNOFF_C: Readonly<Record<Surface, number>> = {
  asphalt: 0.9,
  concrete: 0.9,
  gravel: 0.75,
  roof: 0.9,
  grass: 0.2,
  soil: 0.45,
};

/** C of one zone, 0 to 1: as stated, else 0 under a roof (`covered`), else by its surface; asphalt where that is not stated either. */
export function runoffCOf({ properties }: Zone): number {
  return properties.runoffC ?? (properties.covered ? 0 : DEFAULT_RUNOFF_C[properties.surface ?? 'asphalt']);
}

/**
 * Runoff coefficient of several areas together: the mean of their coefficients weighted by area (McCuen, Hydrologic
 * Analysis and Design, example 7-11). 0 for no area. Areas in any one unit, 0 or more. Flows add up as C·A does, so one
 * area of this C sends as much as all of them, provided that all get the same rain. O(areas).
 *
 * @example
 * import { compositeRunoffC } from 'oilshed/drainage';
 * compositeRunoffC([{ runoffC: 0.9, area: 1 }, { runoffC: 0.3, area: 2 }]); // → 0.5
 */
export function compositeRunoffC(areas: readonly { runoffC: number; area: number }[]): number {
  const area = areas.reduce((sum, each) => sum + each.area, 0);
  return area > 0 ? areas.reduce((sum, each) => sum + each.runoffC * each.area, 0) / area : 0;
}

/** mm/h on m² to L/s: one millimetre on one square metre is one litre. */
const SECONDS_PER_HOUR = 3600;

/**
 * Flow of the rational method, Q = C·i·A, in L/s, for rain in mm/h and area in m². The metric form is exact
 * (1/360 m³/s for mm/h and ha); US tables drop a factor of 1.008 (Oregon Department of
 * Transportation 2014, Hydraulics Manual).
 *
 * It is the highest flow of an even rain that lasts until the farthest ground runs too. It is meant for small areas: it
 * knows nothing of what ponds or pipes store, and one C stands for wet and dry ground alike. O(1).
 *
 * @example
 * import { rationalFlowLps } from 'oilshed/drainage';
 * rationalFlowLps({ runoffC: 0.9, rainMmPerH: 36, areaM2: 1000 }); // → 9
 */
export function rationalFlowLps({
  runoffC,
  rainMmPerH,
  areaM2,
}: {
  runoffC: number;
  rainMmPerH: number;
  areaM2: number;
}): number {
  return (runoffC * rainMmPerH * areaM2) / SECONDS_PER_HOUR;
}

/**
 * The rain, in mm/h, that brings a given flow in L/s, above 0, off an area in m²; Infinity where nothing runs off. The
 * rational method turned round, so it holds where `rationalFlowLps` does. O(1).
 *
 * @example
 * import { rainForFlow } from 'oilshed/drainage';
 * rainForFlow({ runoffC: 0.9, flowLps: 9, areaM2: 1000 }); // → 36
 */
export function rainForFlow({
  runoffC,
  flowLps,
  areaM2,
}: {
  runoffC: number;
  flowLps: number;
  areaM2: number;
}): number {
  return flowLps / rationalFlowLps({ runoffC, rainMmPerH: 1, areaM2 });
}
