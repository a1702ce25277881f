import * as z from 'zod';
import { told } from '../catalogue/index.ts';
import { allows, FLUIDS, instantOf } from '../site-map/index.ts';
import { FINDING_WAYS, findingBodySchema, formOf, SEEN } from '../sources/index.ts';
import { conditionSchema } from '../upkeep/index.ts';
import { entryIdSchema, mapIdSchema } from './id-format.ts';

/**
 * What each kind of entry says in its body. Unknown keys are kept. What stands here is never narrowed, and what is added
 * is optional, so that a body that fitted when it was written still does. One that used the name of a later key for
 * something else is read as unfit (`UnfitEntry`).
 */

export const timeText = z
  .string()
  .refine(
    (text) => instantOf(text, 'UTC') !== undefined,
    allows(told('log-book.time', { time: '"2026-05-30T14:05:00-06:00"' })),
  );
const place = z.string().min(1);
const note = z.string().optional();
const yesOrNo = z.boolean(allows(told('map.true-or-false')));

export const ACTIONS = [
  'placed',
  'pump-out',
  'packs-changed',
  'swept',
  'debris-removed',
  'kit-checked',
  'training',
  'drill',
] as const;
export type Action = (typeof ACTIONS)[number];
/** What an entry says that was done; that a control could not be placed is said while a spill runs, and never ordered. */
const DONE = [...ACTIONS, 'not-placed'] as const;

/** What was seen of water in a glass, in words; yes or no where that is all. */
const seenInWater = z.union([z.string(), z.boolean()], allows(told('log-book.words-or-true'))).optional();

export const ENTRY_KINDS = [
  'visit',
  'finding',
  'spill',
  'action',
  'corrective',
  'sample',
  'correction',
  'map',
  'investigation',
  'round',
  'rain',
  'assessment',
  'link-test',
  'order',
] as const;
export type EntryKind = (typeof ENTRY_KINDS)[number];

export const bodies = {
  visit: z.looseObject({
    at: place.optional().describe('the structure that was looked at'),
    since: timeText.optional().describe('when it was last emptied or known clean; left out, what the log book says'),
    seen: z.enum(SEEN).optional().describe('where no oil was measured'),
    condition: conditionSchema.optional(),
    note,
  }),
  finding: findingBodySchema,
  spill: z.looseObject({
    zone: place.optional(),
    point: z
      .array(z.number())
      .min(2, allows(told('map.position')))
      .optional(),
    litres: z.number().min(0).max(1e9),
    fluid: z.enum(FLUIDS),
    reachedWater: z.boolean().optional(),
    called: z.unknown().optional().describe('who was called'),
    reference: z.string().optional().describe('the number that an authority gave the report'),
    note,
  }),
  action: z.looseObject({
    action: z.enum(DONE),
    at: place.optional(),
    litres: z
      .union([z.number().min(0), z.string(), z.null()], allows(told('log-book.litres-or-words')))
      .optional()
      .describe('what a pump-out took out in all: oil, water and sediment together; words where nobody measured'),
    order: entryIdSchema.optional().describe('the entry of the order that it was done on'),
    note,
  }),
  corrective: z.looseObject({
    due: timeText,
    closed: timeText.optional(),
    closes: entryIdSchema.optional().describe('with `closed`: the entry of the work that was done'),
    note: z.string(),
  }),
  sample: z.looseObject({
    at: place,
    results: z.union(
      [z.array(z.unknown()), z.record(z.string(), z.unknown())],
      allows(told('log-book.list-or-object')),
    ),
    note,
  }),
  correction: z.looseObject({
    corrects: entryIdSchema.describe('an earlier entry of the same site'),
    note: z.string(),
  }),
  map: z.looseObject({ sha256: mapIdSchema.describe('of the map’s file'), note }),
  investigation: z.looseObject({
    at: place.describe('where the oil was found whose source is looked for'),
    continues: entryIdSchema.optional().describe('the entry that began it; left out, this one begins it'),
    findings: z.array(z.string().min(1)).optional().describe('ids of the findings that it rests on'),
    looks: z
      .array(z.looseObject({ at: place, kind: z.string().min(1).optional(), done: yesOrNo.optional() }))
      .optional()
      .describe('what to look at next, and what has been looked at'),
    chances: z
      .array(z.looseObject({ id: place, chance: z.number().min(0).max(1) }))
      .optional()
      .describe('the chance of each source at that time'),
    end: z
      .looseObject({
        state: z.enum(['found', 'outside', 'not-on-map', 'cannot-narrow', 'several']),
        zones: z.array(place).optional(),
        chance: z.number().min(0).max(1).optional(),
        cause: z.string().optional(),
      })
      .optional()
      .describe('how it ended; left out, it goes on'),
    note,
  }),
  round: z.looseObject({
    name: z.string().min(1).optional().describe('such as "weekly"'),
    stops: z
      .array(
        z.looseObject({
          at: place,
          looked: yesOrNo.describe('false: nobody looked at it'),
          well: yesOrNo.optional().describe('whether all was well'),
          entry: entryIdSchema.optional().describe('the entry that says what was seen there'),
          note,
        }),
      )
      .min(1),
    note,
  }),
  rain: z.looseObject({
    mm: z.number().min(0).max(10_000),
    since: timeText.describe('when it began, or the gauge was last emptied'),
    until: timeText.optional().describe('left out, the time of the entry'),
    gauge: z.string().min(1).optional().describe('which gauge'),
    readings: z.array(z.looseObject({ at: timeText, mm: z.number().min(0).max(10_000) })).optional(),
    note,
  }),
  assessment: z.looseObject({
    at: place.describe('where the storm water was taken'),
    began: timeText.optional().describe('when it began to run off'),
    dryHours: z.number().min(0).optional().describe('hours without rain before'),
    colour: seenInWater,
    odour: seenInWater,
    clarity: seenInWater,
    floating: seenInWater.describe('floating solids'),
    settled: seenInWater.describe('settled solids'),
    suspended: seenInWater.describe('suspended solids'),
    foam: seenInWater,
    sheen: seenInWater,
    note,
  }),
  'link-test': z.looseObject({
    link: place.describe('the pipe or other link that was tested'),
    by: z.enum(['dye', 'camera', 'smoke', 'look']),
    result: z.enum(['as-drawn', 'not-there', 'other-way', 'elsewhere', 'unclear']),
    cameOutAt: place.optional().describe('where dye or smoke was seen'),
    minutes: z.number().min(0).optional().describe('how long that took'),
    note,
  }),
  order: z.looseObject({
    action: z.enum(ACTIONS).describe('what is ordered'),
    at: place.optional(),
    to: z.string().min(1).describe('who is to do it'),
    due: timeText.optional(),
    why: z.string().optional(),
    note,
  }),
} satisfies Record<EntryKind, z.ZodType>;

/** Of these fields exactly one is written. */
export const ONE_OF: Partial<Record<EntryKind, readonly string[]>> = {
  finding: FINDING_WAYS,
  spill: ['zone', 'point'],
};

/** What a body is held against: a finding against the form of what it says, so that what is wrong is told field by field. */
export const bodySchemaOf = (kind: EntryKind, body: unknown): z.ZodType =>
  kind === 'finding' ? formOf(body, true) : bodies[kind];

export type BodyOf<K extends EntryKind> = z.output<(typeof bodies)[K]>;
