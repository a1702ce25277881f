import { computed, effect, signal } from '@preact/signals';
import { dueWork } from '../../../log-book/index.ts';
import { isoTime } from '../../../site-map/index.ts';
import { ask } from '../compute/ask.ts';
import type { Asks, Replies } from '../compute/protocol.ts';
import { showFault } from './current-answers.ts';
import { findings, supposedId } from './finding.ts';
import { entries } from './log-book.ts';
import { pickedId, structureOf } from './picked.ts';
import { type OpenYard, yard } from './yard.ts';

/** How full each separator is; null before the first answer. */
export const upkeep = signal<Replies['upkeep'] | null>(null);
/** Whether a newer answer is on its way. */
export const isReading = signal(false);

const dayHere = () => isoTime(Date.now(), yard.value?.map.site.timeZone).slice(0, 10);
/** The calendar day at the site, YYYY-MM-DD. */
export const today = signal('');

/** The separator that was looked at last; null for the one that is due first. What is picked on the map goes before it. */
export const lookedAt = signal<string | null>(null);
export const chosenSeparator = computed(() => {
  const visits = upkeep.value?.visits ?? [];
  const idOf = (wanted: string | null) => visits.find(({ id }) => id === wanted);
  return idOf(pickedId.value) ?? idOf(lookedAt.value) ?? visits[0] ?? null;
});
export const chooseSeparator = (id: string | null): void => {
  lookedAt.value = id;
};

/** Work that was said to be due and is not closed, the soonest first. */
export const workDue = computed(() => [...dueWork(entries.value)].sort((a, b) => (a.due < b.due ? -1 : 1)));

/** The day on which a separator was due before something was written down about it, to tell how that moved. */
export const dueBefore = signal<{ id: string; due: string } | null>(null);
export function rememberDue(id: string): void {
  const visit = upkeep.value?.visits.find((each) => each.id === id);
  dueBefore.value = visit && structureOf(id) ? { id, due: visit.due } : null;
}

const NEW_DAY_MS = 10 * 60_000;

/** Keeps the answer in step with the log book, the findings and the day, for as long as the page lives. */
export function keepUpkeep(): void {
  let before: OpenYard | null = null;
  effect(() => {
    const open = yard.value;
    if (!open) return;
    if (before !== open) {
      before = open;
      lookedAt.value = null;
      dueBefore.value = null;
    }
    today.value = dayHere();
    const seen = findings.value.filter(({ id }) => id !== supposedId.value);
    void askUpkeep(open, { entries: entries.value, findings: seen, today: today.value });
  });
  setInterval(() => {
    today.value = dayHere();
  }, NEW_DAY_MS);
}

async function askUpkeep(open: OpenYard, question: Asks['upkeep']): Promise<void> {
  isReading.value = true;
  const outcome = await ask('upkeep', question);
  if (!outcome || yard.value !== open) return;
  isReading.value = false;
  if ('failed' in outcome) return showFault(outcome.failed);
  upkeep.value = outcome.reply;
}
