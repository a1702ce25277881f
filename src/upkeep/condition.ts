import * as z from 'zod';

/** What a chamber of a separator is for, in the order in which water comes through. */
const CHAMBER_ROLES = ['inlet', 'grit', 'oil', 'media', 'outlet'] as const;

const chamberSchema = z
  .looseObject({
    id: z.string().min(1).optional().describe('of the chamber on the map'),
    name: z.string().optional(),
    role: z.enum(CHAMBER_ROLES).optional(),
    oilMm: z
      .number()
      .min(0)
      .max(10_000)
      .optional()
      .describe('thickness of the oil, by dip stick; may be left out beside sludgeMm'),
    areaM2: z.number().min(1e-6).max(1e6).optional().describe('plan area of the chamber; may be left out beside id'),
    sludgeMm: z.number().min(0).max(100_000).optional().describe('mm of sediment in it'),
  })
  .refine(({ oilMm, sludgeMm }) => oilMm !== undefined || sludgeMm !== undefined, {
    path: ['oilMm'],
    error: 'a number: mm of oil, 0 where there is none',
  })
  .refine(({ areaM2, id }) => areaM2 !== undefined || id !== undefined, {
    path: ['areaM2'],
    error: 'a number: the plan area in m²',
  });

/** What is looked at when a separator is visited (common practice of the trade). All of it may be left out; unknown keys are kept. */
export const conditionSchema = z.looseObject({
  chambers: z.array(chamberSchema).min(1).optional(),
  sludgeMm: z.number().min(0).max(100_000).optional().describe('mm of sediment'),
  packs: z.enum(['in-place', 'adrift', 'missing']).optional().describe('where the sorbent packs are'),
  sorbent: z.enum(['fresh', 'used', 'soaked']).optional().describe('what the packs’ colour says'),
  packsRide: z.enum(['high', 'deep']).optional().describe('how the packs ride in the water'),
  debris: z.boolean({ error: 'true or false' }).optional().describe('whether trash floats in it'),
  plates: z.enum(['sound', 'broken', 'deformed', 'cracked', 'none']).optional(),
  concrete: z.enum(['sound', 'cracked']).optional(),
  sheenAtOutlet: z.boolean({ error: 'true or false' }).optional(),
});

export type Condition = z.infer<typeof conditionSchema>;

/** Oil in all chambers that were read: millimetres on square metres are litres. Null where none was, or one has no area. */
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

/** What to do after a visit, most pressing first (common practice; limits as in `upkeep`). */
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
