import * as z from 'zod';
import { told } from '../catalogue/index.ts';
import { allows } from '../site-map/index.ts';

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
    ...allows(told('upkeep.oil-mm')),
  })
  .refine(({ areaM2, id }) => areaM2 !== undefined || id !== undefined, {
    path: ['areaM2'],
    ...allows(told('upkeep.plan-area')),
  });

/** What is looked at when a separator is visited (common practice of the trade). All of it may be left out; unknown keys are kept. */
export const conditionSchema = z.looseObject({
  chambers: z.array(chamberSchema).min(1).optional(),
  sludgeMm: z.number().min(0).max(100_000).optional().describe('mm of sediment'),
  packs: z.enum(['in-place', 'adrift', 'missing']).optional().describe('where the sorbent packs are'),
  sorbent: z.enum(['fresh', 'used', 'soaked']).optional().describe('what the packs’ colour says'),
  packsRide: z.enum(['high', 'deep']).optional().describe('how the packs ride in the water'),
  debris: z
    .boolean(allows(told('map.true-or-false')))
    .optional()
    .describe('whether trash floats in it'),
  plates: z.enum(['sound', 'broken', 'deformed', 'cracked', 'none']).optional(),
  concrete: z.enum(['sound', 'cracked']).optional(),
  sheenAtOutlet: z.boolean(allows(told('map.true-or-false'))).optional(),
});
