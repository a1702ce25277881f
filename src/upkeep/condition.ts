import type * as z from 'zod';
import type { conditionSchema } from './condition-format.ts';

/** What was seen in a separator at a visit; all of it may be left out. */
export type Condition = z.infer<typeof conditionSchema>;

/**
 * Oil in all chambers that were read: millimetres on square metres are litres. Null where none was, or one has no area,
 * for a sum that leaves a chamber out would be too low. O(chambers).
 *
 * @example
 * import { oilIn } from 'oilshed/upkeep';
 * oilIn({ chambers: [{ oilMm: 10, areaM2: 2 }, { oilMm: 0, areaM2: 3 }, { sludgeMm: 40, areaM2: 1 }] }); // → { litres: 20, areaM2: 5 }
 * oilIn({ chambers: [{ oilMm: 10, id: 'C-1' }] }); // → null
 */
export function oilIn({ chambers = [] }: Pick<Condition, 'chambers'>): { litres: number; areaM2: number } | null {
  const sum = { litres: 0, areaM2: 0 };
  for (const { oilMm, areaM2 } of chambers) {
    if (oilMm === undefined) continue;
    if (areaM2 === undefined) return null;
    sum.litres += oilMm * areaM2;
    sum.areaM2 += areaM2;
  }
  return sum.areaM2 > 0 ? sum : null;
}

/** What follows from one thing that was seen. */
export type Step =
  | 'pump-out-oil'
  | 'pump-out-sediment'
  | 'more-packs'
  | 'watch-sediment'
  | 'fish-out-packs'
  | 'put-packs-in'
  | 'change-packs'
  | 'take-out-debris'
  | 'replace-plates'
  | 'mend-concrete'
  | 'clean-outlet';

/** Limits of one separator; null where its size is not on the map. */
export interface FillLimits {
  oilLimitMm: number;
  sludgeLimitMm: number;
  /** Litres that its packs can take. */
  packLitres: number | null;
}

/**
 * What to do after a visit, most pressing first (common practice; limits as in `upkeep`); empty where nothing asks for
 * anything. What was not looked at asks for nothing, so an empty list is no clean bill. Oil and sediment that are just
 * at their limit have reached it. O(chambers).
 *
 * @example
 * import { stepsAfter } from 'oilshed/upkeep';
 * const limits = { oilLimitMm: 25.4, sludgeLimitMm: 152, packLitres: 30 };
 * stepsAfter({ chambers: [{ oilMm: 20, areaM2: 2 }], sludgeMm: 160 }, limits); // → ['pump-out-sediment', 'more-packs']
 * stepsAfter({}, limits); // → []
 */
export function stepsAfter(condition: Condition, { oilLimitMm, sludgeLimitMm, packLitres }: FillLimits): Step[] {
  const { sludgeMm = 0, packs, sorbent, packsRide, debris, plates, concrete, sheenAtOutlet } = condition;
  const oil = oilIn(condition);
  const isOilFull = oil !== null && oil.litres >= oilLimitMm * oil.areaM2;
  const isSludgeFull = sludgeMm >= sludgeLimitMm;
  const steps: [Step, boolean][] = [
    ['pump-out-oil', isOilFull],
    ['pump-out-sediment', isSludgeFull],
    ['clean-outlet', sheenAtOutlet === true],
    ['fish-out-packs', packs === 'adrift'],
    ['change-packs', sorbent === 'soaked' || packsRide === 'deep'],
    ['put-packs-in', packs === 'missing'],
    ['more-packs', !isOilFull && oil !== null && packLitres !== null && oil.litres > packLitres],
    ['take-out-debris', debris === true],
    ['watch-sediment', !isSludgeFull && sludgeMm > sludgeLimitMm / 2],
    ['replace-plates', plates !== undefined && plates !== 'sound' && plates !== 'none'],
    ['mend-concrete', concrete === 'cracked'],
  ];
  return steps.filter(([, isTrue]) => isTrue).map(([step]) => step);
}
