import { computed, signal } from '@preact/signals';
import { findingsFileOf } from '../../../log-book/index.ts';
import { ask } from '../compute/ask.ts';
import { byName } from './by-name.ts';
import { findings, supposedId, takeFindings } from './finding.ts';
import { tellFault } from './keep-up.ts';
import { entries, write } from './log-book.ts';
import { forgetSteps } from './said.ts';
import { yard } from './yard.ts';

/** What the log book knows that was seen: findings, and what visits read. */
export const inBook = computed(() => findingsFileOf(entries.value));

/** Findings on screen that were written into the log book from here, by their id and what they said. */
const written = signal<ReadonlySet<string>>(new Set());
const sayingOf = (finding: object) => JSON.stringify(finding);

/** Findings on screen that the log book has not: neither taken from it, nor written into it. */
export const notInBook = computed(() => {
  const ids = new Set(inBook.value.findings.map((finding) => (finding as { id: string }).id));
  return findings.value.filter(
    (finding) => finding.id !== supposedId.value && !ids.has(finding.id) && !written.value.has(sayingOf(finding)),
  );
});

/** How many of the log book are not on screen. */
export const onlyInBook = computed(() => {
  const shown = new Set(findings.value.map(({ id }) => id));
  const own = new Set([...written.value].map((saying) => (JSON.parse(saying) as { id: string }).id));
  return own.size > 0
    ? 0
    : inBook.value.findings.filter((finding) => !shown.has((finding as { id: string }).id)).length;
});

/** Asks about what the log book has, in place of what is on screen. */
export async function takeFromBook(): Promise<void> {
  const open = yard.value;
  const outcome = await ask('findings', { text: JSON.stringify(inBook.value) });
  if (!outcome || !open || yard.value !== open) return;
  if ('failed' in outcome) return tellFault(outcome.failed);
  forgetSteps();
  written.value = new Set();
  takeFindings(outcome.reply, open, new Date());
}

/** Writes what is on screen and not in the log book into it, each as an entry of its own. */
export async function writeIntoBook(): Promise<void> {
  for (const finding of notInBook.value) {
    const { id: _, ...body } = finding;
    await write({ kind: 'finding', body, by: byName.value });
    written.value = new Set([...written.value, sayingOf(finding)]);
  }
}
