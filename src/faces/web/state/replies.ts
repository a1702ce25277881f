import type * as z from 'zod';
import type { SealedEntry } from '../../../log-book/index.ts';
import { isObject, type Problem } from '../../../site-map/index.ts';
import type { REPLIES } from './forms.ts';
import type { Reply } from './request.ts';

/** Undefined where they cannot be fetched: what was answered is then as no answer, and is asked for again. */
export const fetchForms = () => import('./forms.ts').catch(() => undefined);

/** What an answer says, in the form that was asked for; undefined where it has not that form. O(its length). */
export const said = async <T>(
  choose: (forms: typeof REPLIES) => z.ZodType<T>,
  { body }: Pick<Reply, 'body'>,
): Promise<T | undefined> => {
  const there = await fetchForms();
  return there && choose(there.REPLIES).safeParse(body).data;
};

/** What is wrong by a refusal; undefined where it is none of the log book's. */
export const problemsIn = async (reply: Pick<Reply, 'body'>): Promise<readonly Problem[] | undefined> =>
  (await said(({ refusal }) => refusal, reply))?.problems;

/** Whether an answer says that there is no log book behind the page. */
export const saysNoBook = ({ body }: Pick<Reply, 'body'>): boolean => isObject(body) && body.hasLogBook === false;

/** A page of entries; undefined where one cannot be read. */
export async function entriesIn({
  body,
}: Pick<Reply, 'body'>): Promise<{ entries: SealedEntry[]; isMore: boolean } | undefined> {
  if (!isObject(body) || !Array.isArray(body.entries) || typeof body.more !== 'boolean') return undefined;
  const entries = body.entries.length === 0 ? [] : (await fetchForms())?.entriesOf(body.entries);
  return entries ? { entries, isMore: body.more } : undefined;
}
