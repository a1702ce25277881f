import { computed } from '@preact/signals';
import { canonicalText, findingsFileOf } from '../../../log-book/index.ts';
import { ask } from '../compute/ask.ts';
import { byName } from './by-name.ts';
import { showFault } from './current-answers.ts';
import { findings, supposedId, takeFindings } from './finding.ts';
import { entries } from './log-book.ts';
import { writeOrShowFault } from './outbox.ts';
import { forgetSteps } from './said.ts';
import { yard } from './yard.ts';

/** What the log book knows that was seen: findings, and what visits read. */
const inBook = computed(() => findingsFileOf(entries.value, yard.value?.map.site.timeZone));

/** Two findings that say the same are one, whatever they are called. */
const contentOf = ({ at, since, seenAt, seen, amount, event, fluid }: Record<string, unknown>) =>
  canonicalText({ at, since, seenAt, seen, amount, event, fluid });
const saidInBook = computed(() => new Set(inBook.value.findings.map(contentOf)));

/** Findings on screen that the log book has not. */
export const notInBook = computed(() =>
  findings.value.filter((finding) => finding.id !== supposedId.value && !saidInBook.value.has(contentOf(finding))),
);

/** How many the log book has, where some of them are not on screen; else 0. */
export const countInBook = computed(() => {
  const shown = new Set(findings.value.map(contentOf));
  const { findings: all } = inBook.value;
  return all.every((finding) => shown.has(contentOf(finding))) ? 0 : all.length;
});

/** Asks about what the log book has, in place of what is on screen. */
export async function takeFromBook(): Promise<void> {
  const open = yard.value;
  const outcome = await ask('findings', { file: inBook.value });
  if (!outcome || !open || yard.value !== open) return;
  if ('failed' in outcome) return showFault(outcome.failed);
  forgetSteps();
  takeFindings(outcome.reply, open, new Date());
}

let isWriting = false;

/** Writes what is on screen and not in the log book into it, each as an entry of its own. */
export async function writeIntoBook(): Promise<void> {
  const open = yard.value;
  if (!open || isWriting) return;
  isWriting = true;
  for (const { id: _, ...body } of notInBook.value) {
    await writeOrShowFault(open, { kind: 'finding', body, by: byName.value });
  }
  isWriting = false;
}
