import { computed, effect, signal } from '@preact/signals';
import { asWritten, type CopyComparison, compareCopy, entryText, type SealedEntry } from '../../../log-book/index.ts';
import { copies, dropCopy } from './book-copies.ts';
import type { BookCopy } from './device-stores.ts';
import { bookRead, readBook, site } from './log-book.ts';
import { problemsIn } from './replies.ts';
import { type Reply, request } from './request.ts';
import { saveFile } from './save-file.ts';
import { say } from './voice.ts';

/** A copy on this device that the log book does not go on from, and how the two stand to each other. */
export interface DivergedCopy extends CopyComparison {
  copy: BookCopy;
  /** How many entries the log book has. */
  bookLength: number;
}

const compared = computed((): readonly DivergedCopy[] => {
  const book = bookRead.value;
  if (book === null) return [];
  return copies.value
    .filter((copy) => copy.site === site.value)
    .map((copy) => ({ copy, bookLength: book.length, ...compareCopy(copy.entries, book) }));
});

/** Those of the open site, once its log book has been read to its end. */
export const divergedCopies = computed(() => compared.value.filter(({ lacking }) => lacking > 0));

/** What came of sending entries back, in a sentence or two; empty before. */
export const sentBack = signal('');

/** A copy of which the log book has everything again is done with. */
export function dropCompleteCopies(): void {
  effect(() => {
    for (const { copy, lacking } of compared.value) if (lacking === 0) dropCopy(copy);
  });
}

const linesOf = (entries: readonly SealedEntry[]) => entries.map((entry) => `${entryText(entry)}\n`).join('');

/** Saves a copy as a file: a line for each entry, as it was sealed, which `oilshed log import` reads. */
export function saveCopy({ site: of, entries }: BookCopy): void {
  saveFile(`log-book-${of}-to-${entries.length}.jsonl`, { type: 'application/x-ndjson', text: linesOf(entries) });
}

/** One request has at most so many entries, and about so many characters. */
const MOST_ENTRIES = 200;
const MOST_CHARACTERS = 4e6;
const TIMEOUT_MS = 120_000;

/** Sends what the log book lacks of a copy back to it, in order, as far as it is taken. Says what came of it in `sentBack`. */
export async function sendBack({ copy, common, lacking }: DivergedCopy): Promise<void> {
  sentBack.value = say('state.sending-back');
  let left = copy.entries.slice(common);
  let trouble = '';
  while (left.length > 0 && trouble === '') {
    let batch = firstOf(left);
    let reply = await restore(batch);
    if (reply.status !== 201) {
      trouble = await troubleIn(reply);
      // Those before the one that was refused can still be taken.
      const ids = new Set(((await problemsIn(reply)) ?? []).map(({ id }) => id));
      batch = batch.slice(
        0,
        Math.max(
          0,
          batch.findIndex(({ id }) => ids.has(id)),
        ),
      );
      if (batch.length > 0) reply = await restore(batch);
    }
    if (reply.status === 201) left = left.slice(batch.length);
  }
  await readBook();
  const sent = lacking - left.length;
  sentBack.value =
    trouble === ''
      ? say('state.sent-back', { sent, count: lacking })
      : say('state.sent-back-trouble', { sent, count: lacking, trouble });
}

const restore = (entries: readonly SealedEntry[]) =>
  request(
    'api/entries/restore',
    { method: 'POST', headers: { 'content-type': 'application/x-ndjson' }, body: linesOf(entries) },
    TIMEOUT_MS,
  );

function firstOf(entries: readonly SealedEntry[]): readonly SealedEntry[] {
  let characters = 0;
  const end = entries.findIndex((entry, at) => {
    characters += JSON.stringify(asWritten(entry)).length;
    return at > 0 && (at >= MOST_ENTRIES || characters > MOST_CHARACTERS);
  });
  return end < 0 ? entries : entries.slice(0, end);
}

async function troubleIn(reply: Reply): Promise<string> {
  if (reply.status === 0) return say('state.book-silent');
  if (reply.status === 401 || reply.status === 403) return say('state.takes-manager');
  const [first] = (await problemsIn(reply)) ?? [];
  return first
    ? say('state.book-refused-why', { message: first.message, cure: first.cure })
    : say('state.book-refused');
}
