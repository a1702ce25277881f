import * as z from 'zod';
import { keptEntry, keptSealedEntry, mapIdSchema, type SealedEntry } from '../../../log-book/index.ts';
import type { Problem } from '../../../site-map/index.ts';
import type { ListedSession, ListedToken, Person, Role } from '../../../store/index.ts';
import type { BookCopy, KeptYard, WaitingEntry } from './device-stores.ts';
import type { KeptDraft } from './visit-draft.ts';
import { DEMO_YARDS } from './yard.ts';

/**
 * The forms of what the log book's server answers, and of what this device kept: the one place where either becomes typed.
 * Schemas and what reads them are large and no first answer needs them, so they are loaded when there is something to read.
 */

export type ShownSession = ListedSession & { isThis: boolean };
export type ShownToken = Omit<ListedToken, 'person'>;
export type SessionReply = Omit<Person, 'name' | 'role'> & {
  name: string | null;
  role: Role | null;
  mustChangePassword: boolean;
  isSignInNeeded?: boolean;
};

const text = z.string();
const role = z.enum(['viewer', 'crew', 'manager']) satisfies z.ZodType<Role>;

/** What the log book said, or a message that this page says. */
const words = z.union([text, z.looseObject({ told: text })]);

const isProblem = (value: unknown): value is Problem =>
  z.object({ message: words, cure: words, id: text.nullable(), field: text.nullable() }).safeParse(value).success;

/** The forms of answers. */
export const REPLIES = {
  refusal: z.object({ detail: text.optional(), problems: z.array(z.custom<Problem>(isProblem)).optional() }),
  keptPhoto: z.object({ sha256: text }),
  keptMap: z.object({ sha256: mapIdSchema }),
  sessions: z.object({
    sessions: z.array(z.object({ id: text, name: text, began: text, seen: text, agent: text, isThis: z.boolean() })),
  }) satisfies z.ZodType<{ sessions: ShownSession[] }>,
  tokens: z.object({
    tokens: z.array(z.object({ name: text, role, made: text })),
  }) satisfies z.ZodType<{ tokens: ShownToken[] }>,
  token: z.object({ token: text }),
  address: z.object({ path: text }),
  session: z.object({
    name: text.nullable(),
    role: role.nullable(),
    mustChangePassword: z.boolean(),
    isSignInNeeded: z.boolean().optional(),
  }) satisfies z.ZodType<SessionReply>,
};

const yardShape = z.union([
  z.object({ demo: z.enum(DEMO_YARDS) }),
  z.object({ fileName: text, map: z.instanceof(ArrayBuffer), findings: text.nullable() }),
]) satisfies z.ZodType<KeptYard>;
const draftShape = z.looseObject({
  at: text,
  when: text,
  since: text,
  condition: z.looseObject({}),
  chambers: z.array(z.looseObject({ name: text })),
  note: text,
});
const isDraft = (value: unknown): value is KeptDraft => draftShape.safeParse(value).success;
const copyShape = z.object({ entries: z.array(z.unknown()).min(1) });
const waitingShape = z.object({
  entry: z.unknown(),
  photos: z.array(z.instanceof(Blob)),
  problems: z
    .array(z.custom<Problem>((value) => z.object({ message: words, cure: words }).safeParse(value).success))
    .nullable(),
});

/** The entries in a list; null where one cannot be read. */
export function entriesOf(values: readonly unknown[]): SealedEntry[] | null {
  const entries = values.flatMap((value) => keptSealedEntry(value) ?? []);
  return entries.length === values.length ? entries : null;
}

export const yardOf = (value: unknown): KeptYard | null => yardShape.safeParse(value).data ?? null;
export const draftOf = (value: unknown): KeptDraft | null => (isDraft(value) ? value : null);

export function copyOf(value: unknown): BookCopy | null {
  const entries = entriesOf(copyShape.safeParse(value).data?.entries ?? []);
  return entries && entries.length > 0 ? { site: entries[0].site, entries } : null;
}

export function waitingOf(value: unknown): WaitingEntry | null {
  const kept = waitingShape.safeParse(value).data;
  const entry = keptEntry(kept?.entry);
  return kept && entry ? { ...kept, entry } : null;
}
