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
export const RELATIVE_YIELD: Readonly<Record<Activity, number>> = {
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

/** Litres of floating oil that a square metre of an activity is expected to release in a year. */
export function yieldOf(activity: Activity): number {
  return PARKING_OIL_AND_GREASE * FLOAT_SHARE * RELATIVE_YIELD[activity];
}

/** μ: litres of floating oil that a zone is expected to release in a year: its own `oilLitresPerYear`, else area × yield × weight. */
export function expectedLitresPerYear({ areaM2, properties }: Zone): number {
  return properties.oilLitresPerYear ?? areaM2 * yieldOf(properties.activity) * (properties.weight ?? 1);
}

/** How rough default yields are where the map does not say: within ×/÷ 2 two times in three. */
export const DEFAULT_YIELD_FACTOR = 2;

/** Standard deviations, on the log scale, of the factors that a zone's yield carries. */
export interface YieldRoughness {
  /** Shared by all zones of one activity. */
  activity: number;
  /** The zone's own. */
  own: number;
}

/**
 * How roughly a zone's yield is known: with a factor of its own, that alone; with its own
 * `oilLitresPerYear`, not at all; else the site's factor, half of its variance shared by the activity.
 */
export function roughnessOf(map: SiteMap, { properties }: Zone): YieldRoughness {
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
