import { floats } from '../../drainage/index.ts';
import { type Activity, divideShares, FLUIDS, type Fluid, type SiteMap, type Zone } from '../../site-map/index.ts';

/**
 * Oil and grease that runoff from parking carries off, litres per m² and year: 15.3 mg/L (seen: the abstract of Stenstrom,
 * Silverman and Bursztynsky 1984, J. Environ. Eng. 110(1), 58–72) in 630 mm of runoff a year (guess: 700 mm of rain, nine tenths of it running off)
 * at 0.89 kg/L (engine oil at 15 °C: 877 to 885 kg/m³ in the open oil-property records of NOAA and Environment Canada).
 */
const PARKING_OIL_AND_GREASE = (15.3e-6 * 630) / 0.89;

/** The part of it that floats; the rest rides on dirt (83 to 93 %, seen: the abstract of Petroleum hydrocarbons in urban runoff
 * from a commercial land use area, Journal of the Water Pollution Control Federation). */
const FLOAT_SHARE = 0.15;

/**
 * Yield of each activity relative to parking. Guesses of the trade, from memory, to be edited through
 * `weight`. The only ratio seen in a source is parking and commercial ground to the rest, 13.5 : 1 in load (Stenstrom et al. 1984);
 * fuelling to parking 2.6 : 1 and parking to street 2 : 1 in separator sediment are from memory
 * (Schueler and Shepp 1993).
 */
export const RELATIVE_LOAD: Readonly<Record<Activity, number>> = {
  fueling: 4,
  'wash-bay': 6,
  parking: 1,
  workshop: 5,
  loading: 1.5,
  storage: 1,
  scrap: 6,
  roadway: 0.7,
  roof: 0.02,
  landscape: 0.05,
  other: 1,
};

/**
 * Litres of floating oil that a square metre of an activity is expected to release in a year: 0.0016 for parking, times the activity's
 * `RELATIVE_YIELD`. The factors are multiplied: concentration in runoff (Stenstrom et al. 1984) × runoff of a year ÷ density × the part that
 * floats (Hoffman et al.). The runoff is a guess and the part that floats is of one lot, so the figure is good for setting zones
 * against each other and not for a budget of oil. O(1).
 *
 * @example
 * import { loadOf } from 'oilshed/sources';
 * loadOf('fueling') / loadOf('parking'); // → 4
 */
export function loadOf(activity: Activity): number {
  return PARKING_OIL_AND_GREASE * FLOAT_SHARE * RELATIVE_LOAD[activity];
}

/**
 * μ: litres of floating oil that a zone is expected to release in a year: its own `oilLitresPerYear`, else area (m²) × yield × weight,
 * the weight being 1 where the map has none. 0 or more; a zone with 0 is no source and gets no share. Where yields are rough this is the
 * median of what the zone may release, and `loadSpreadOf` says how rough. O(1).
 */
export function expectedLitresPerYear({ areaM2, properties }: Zone): number {
  return properties.oilLitresPerYear ?? areaM2 * loadOf(properties.activity) * (properties.weight ?? 1);
}

/**
 * How rough default yields are where the map does not say: within ×/÷ 2 two times in three. A guess; medians by ordinary land use differ
 * by less than that (Maestre and Pitt 2005, from memory), but one yard is no median.
 */
export const DEFAULT_YIELD_FACTOR = 2;

/** Standard deviations, on the natural log scale, of the two independent factors that a zone's yield carries. 0: known exactly. */
export interface LoadSpread {
  /** Shared by all zones of one activity. */
  activity: number;
  /** The zone's own. */
  own: number;
}

/**
 * How roughly a zone's yield is known: with a factor of its own, that alone; with its own
 * `oilLitresPerYear`, not at all; else the site's factor, half of its variance shared by the activity. Variances add, so each half has
 * the standard deviation ln factor ÷ √2, and the two together are right within ×/÷ factor two times in three. A yield that
 * is known of one zone tells nothing of the activity's default, so it takes no part in the shared factor. O(1).
 */
export function loadSpreadOf(map: SiteMap, { properties }: Zone): LoadSpread {
  if (properties.yieldFactor !== undefined) return { activity: 0, own: Math.log(properties.yieldFactor) };
  if (properties.oilLitresPerYear !== undefined) return { activity: 0, own: 0 };
  const half = Math.log(map.site.odds?.yieldFactor ?? DEFAULT_YIELD_FACTOR) / Math.SQRT2;
  return { activity: half, own: half };
}

/** Fluids that float. Coolant mixes with water (it is denser: 1,060 to 1,079 kg/m³ at half glycol) and takes part in no oil balance. */
export const FLOATING: readonly Fluid[] = FLUIDS.filter(floats);

/**
 * How a zone's yield divides over the named fluids and all the rest (`fluid` null); the shares add up to 1. Fluids of
 * the zone without a stated share divide what the stated ones leave; a zone that lists none may release any oil alike.
 * Coolant is left out before, so shares are of the floating oil. A fluid that is not the zone's own has 0. A gamma process
 * divides into independent ones by shares of its yield, which is why a finding of one fluid says nothing of the others but
 * through the zone's yield. O(fluids of the zone × fluids named).
 */
export function fluidShares({ properties }: Zone, named: readonly Fluid[]): { fluid: Fluid | null; share: number }[] {
  const listed = (properties.fluids ?? []).filter(({ fluid }) => FLOATING.includes(fluid));
  const own = listed.length > 0 ? listed : FLOATING.map((fluid) => ({ fluid, share: undefined }));
  const { shares } = divideShares(own.map(({ share }) => share));
  const parts = named.map((fluid) => ({
    fluid,
    share: own.reduce((sum, each, at) => sum + (each.fluid === fluid ? shares[at] : 0), 0),
  }));
  const rest = 1 - parts.reduce((sum, { share }) => sum + share, 0);
  return [...parts, { fluid: null, share: Math.max(0, rest) }];
}
