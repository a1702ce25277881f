import * as z from 'zod';
import { told } from '../../catalogue/index.ts';
import { allows, FLUIDS } from '../../site-map/index.ts';
import { SEEN } from './seen.ts';

/** The findings format, version 1. A finding has exactly one of `seen`, `amount` and `event`. */

const area = z.number().min(1e-6).max(1e9);
const volume = z.number().min(0).max(1e9);
const factor = z
  .number()
  .min(1)
  .max(1000)
  .optional()
  .describe('the true volume is within ×/÷ this two times in three; default 1.5');
/** A field that says something else stands in its place; the types tell the forms apart by it. */
const another = z.never().optional();

const appearance = z.array(
  z.looseObject({
    code: z
      .number()
      .int()
      .min(1)
      .max(5)
      .describe('1 sheen, 2 rainbow, 3 metallic, 4 broken true colour, 5 true colour'),
    share: z.number().min(0).max(1).describe('part of the area that looks so'),
  }),
);

const otherForms = { litres: another, thicknessMm: another, appearance: another, socks: another };
const amountSchema = z.union(
  [
    z.looseObject({ ...otherForms, litres: volume, areaM2: area.optional(), factor }),
    z.looseObject({ ...otherForms, thicknessMm: z.number().min(0).max(1e5), areaM2: area, factor }),
    z.looseObject({ ...otherForms, appearance: appearance.min(1), areaM2: area }),
    z.looseObject({
      ...otherForms,
      socks: z.number().min(0).max(1e6),
      areaM2: area.optional(),
      kgEach: z
        .number()
        .positive()
        .optional()
        .describe('kg of oil that each took up; left out, a guess for a full one'),
      factor,
    }),
  ],
  allows(
    told('sources.amount-forms', {
      litres: '{ "litres": 5 }',
      thickness: '{ "thicknessMm": 3, "areaM2": 2.4 }',
      appearance: '{ "appearance": [{ "code": 3, "share": 0.1 }], "areaM2": 20 }',
      socks: '{ "socks": 2, "kgEach": 1.5 }',
    }),
  ),
);
/** The ways in which people write an amount down: by one of `litres`, `thicknessMm`, `appearance` and `socks`. */
export type Amount = z.infer<typeof amountSchema>;

/** Which of the forms a value has; a sound amount has one. */
export const formsOf = (value: object): string[] =>
  Object.keys(otherForms).filter((form) => Reflect.get(value, form) !== undefined);

const eventSchema = z.looseObject({
  litres: z.number().positive().max(1e9),
  factor,
});

const common = {
  id: z.string().min(1),
  at: z.string().min(1).describe('a structure, or a zone for its own ground'),
  since: z.string().min(1).describe('when the point was last known clean or was cleaned out'),
  seenAt: z.string().min(1),
  fluid: z.enum(FLUIDS).optional(),
  noticeLitres: z.number().min(1e-9).max(1e6).optional(),
  misread: z.number().min(0).max(1).optional(),
  look: z
    .enum(['still', 'dirty', 'hooded', 'ground'])
    .optional()
    .describe('what was looked at: a still pool, dirty water, under a hood, open ground'),
  poke: z
    .enum(['smears', 'breaks'])
    .optional()
    .describe('a sheen that is poked: oil smears and closes again, what bacteria make breaks into plates'),
  smell: z.string().optional(),
  colour: z.string().optional(),
  rainMm: z.number().min(0).optional(),
  sludgeMm: z.number().min(0).max(1e5).optional().describe('mm of sediment'),
  sheenAtOutlet: z.boolean(allows(told('map.true-or-false'))).optional(),
  sorbent: z.enum(['fresh', 'used', 'soaked']).optional(),
  note: z.string().optional(),
};
const says = { seen: another, amount: another, event: another };
const seen = z.enum(SEEN).describe('what a look said; none, sheen, film and layer say how much');
const amount = amountSchema.describe('oil held in the structure');
const event = eventSchema.describe('a release that somebody saw happen in a zone');

/** A finding by what it says. */
const findingForms = {
  seen: z.looseObject({ ...common, ...says, seen }),
  amount: z.looseObject({ ...common, ...says, amount }),
  event: z.looseObject({ ...common, ...says, event }),
};
/** Of these a finding has exactly one. */
export const FINDING_WAYS = ['seen', 'amount', 'event'] as const;

const ownId = { id: common.id.optional().describe('left out, the id of the entry') };
const bodyForms = {
  seen: findingForms.seen.extend(ownId),
  amount: findingForms.amount.extend(ownId),
  event: findingForms.event.extend(ownId),
};
const findingSchema = z.union([findingForms.seen, findingForms.amount, findingForms.event]);
/** A finding as the body of an entry of the log book, which has an id of its own; in all else that of a file. */
export const findingBodySchema = z.union([bodyForms.seen, bodyForms.amount, bodyForms.event]);

/** A finding as it stands in a file. */
export type FindingSource = z.infer<typeof findingSchema>;
type FindingValueOf<Source> = Source extends FindingSource ? Pick<Source, 'seen' | 'amount' | 'event'> : never;
/** What a finding says, without where, when and what else. */
export type FindingValue = FindingValueOf<FindingSource>;

/**
 * A file of findings, version 1. Fields that it does not know are kept. It holds the form alone: whether places are on the map and times
 * make a window is for `readFindings`, which also tells what is wrong field by field, where a union tells only that no form fits.
 */
export const findingsFileSchema = z.looseObject({
  format: z.literal('oilshed-findings'),
  version: z.literal(1),
  findings: z.array(findingSchema),
});

/** Which of the three ways a value has; a sound finding has one. */
export const waysOf = (value: object): (typeof FINDING_WAYS)[number][] =>
  FINDING_WAYS.filter((way) => Reflect.get(value, way) !== undefined);

/**
 * The form that a value is to be held against, so that what is wrong is told field by field: that of what it says; where it
 * says nothing, or several things, which is told apart from this, all that findings have in common. With `isBody` it is the form of an
 * entry of the log book, which may leave out the id. Any value may be given, one that is no object too. O(1).
 *
 * @example
 * import { formOf } from 'oilshed/sources';
 * const look = { at: 'CB-1', since: '2026-03-01', seenAt: '2026-05-30', seen: 'oil' };
 * formOf(look).safeParse(look).success; // → false
 * formOf(look, true).safeParse(look).success; // → true
 */
export function formOf(value: unknown, isBody = false): z.ZodType {
  const forms = isBody ? bodyForms : findingForms;
  const ways = typeof value === 'object' && value !== null ? waysOf(value) : [];
  return ways.length === 1 ? forms[ways[0]] : z.looseObject({ ...common, ...(isBody ? ownId : {}) });
}
