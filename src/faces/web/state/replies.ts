import * as z from 'zod';
import { keptSealedEntry, mapIdSchema, type SealedEntry } from '../../../log-book/index.ts';
import type { Problem } from '../../../site-map/index.ts';
import type { ListedSession, ListedToken, Person, Role } from '../../../store/index.ts';
import type { Reply } from './request.ts';

/**
 * The one place where what the log book's server answers becomes typed. What does not have the form that was asked for is
 * as no answer: undefined.
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

const isProblem = (value: unknown): value is Problem =>
  z.object({ message: text, cure: text, id: text.nullable(), field: text.nullable() }).safeParse(value).success;

/** The forms of answers, to be read with `said`. */
export const REPLIES = {
  refusal: z.object({ detail: text.optional(), problems: z.array(z.custom<Problem>(isProblem)).optional() }),
  entries: z.object({ entries: z.array(z.unknown()), more: z.boolean() }),
  keptPhoto: z.object({ sha256: text }),
  keptMap: z.object({ sha256: mapIdSchema }),
  health: z.object({ hasLogBook: z.boolean().optional() }),
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

/** What an answer says, in the form that was asked for. O(its length). */
export const said = <T>(form: z.ZodType<T>, { body }: Pick<Reply, 'body'>): T | undefined => form.safeParse(body).data;

/** What is wrong by a refusal; undefined where it is none of the log book's. */
export const problemsIn = (reply: Pick<Reply, 'body'>): readonly Problem[] | undefined =>
  said(REPLIES.refusal, reply)?.problems;

/** A page of entries; undefined where one cannot be read. */
export function entriesIn(reply: Pick<Reply, 'body'>): { entries: SealedEntry[]; isMore: boolean } | undefined {
  const page = said(REPLIES.entries, reply);
  const entries = page?.entries.flatMap((value) => keptSealedEntry(value) ?? []);
  return page && entries?.length === page.entries.length ? { entries, isMore: page.more } : undefined;
}
