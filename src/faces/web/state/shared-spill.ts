import { batch, computed, effect, untracked } from '@preact/signals';
import { seededRandom } from '../../../algorithms/index.ts';
import { type Entry, type EntryId, entriesInForce } from '../../../log-book/index.ts';
import { CONTROLS } from '../../../site-map/index.ts';
import { byName } from './by-name.ts';
import { eventsElsewhere, joinClock, running } from './clock.ts';
import { bookState, entries, mayWrite, waitingHere } from './log-book.ts';
import { type Written, writeOrShowFault } from './outbox.ts';
import { hasLogBook } from './session.ts';
import { factsIn, isClockOn, type SpillFacts, spillFacts } from './spill.ts';
import { uuidV7 } from './spill-entry.ts';
import { isSameStep, type SpillStepEvent, STEP_EVENTS } from './spill-steps.ts';
import { say } from './voice.ts';
import { type OpenYard, yard } from './yard.ts';

/** A spill that somebody says is running, as the log book has it. */
export interface SharedSpill {
  id: EntryId;
  startedAt: number;
  facts: SpillFacts;
}

/** A spill that began longer ago than this is no longer offered to be joined. */
const OFFERED_MS = 24 * 3600 * 1000;

const inMs = (time: unknown): number | null => {
  const ms = typeof time === 'string' ? Date.parse(time) : Number.NaN;
  return Number.isNaN(ms) ? null : ms;
};

/** What the log book says of a step of this spill; null where the entry is about something else. */
function stepIn({ kind, body, by }: Entry, spill: EntryId): SpillStepEvent | null {
  if (kind !== 'action' || body.spill !== spill || typeof body.at !== 'string') return null;
  const control = CONTROLS.find((each) => each === body.control);
  const event = STEP_EVENTS.find((each) => each === body.step);
  const time = inMs(body.time);
  if (!control || !event || time === null) return null;
  const who = (key: 'hand' | 'kit') => (typeof body[key] === 'string' ? { [key]: body[key] } : {});
  return { spill, step: { at: body.at, control, ...who('hand'), ...who('kit') }, event, time, by };
}

/**
 * What was said of the steps of a spill, on every device that writes into the log book. A correction of such an entry takes
 * the step back, from the correction's own time. It does not matter in which order entries came. O(entries).
 */
export function eventsIn(all: readonly Entry[], spill: EntryId): SpillStepEvent[] {
  const events = new Map<EntryId, SpillStepEvent>();
  for (const entry of all) {
    const event = stepIn(entry, spill);
    if (event) events.set(entry.id, event);
  }
  const takenBack = all.flatMap((entry): SpillStepEvent[] => {
    const said = entry.kind === 'correction' ? events.get(entry.body.corrects) : undefined;
    const time = said && entry.kind === 'correction' ? (inMs(entry.body.time) ?? inMs(entry.at)) : null;
    return said && time !== null ? [{ ...said, event: 'taken-back', time, by: entry.by }] : [];
  });
  return [...events.values(), ...takenBack];
}

/** Entries that still say of a spill that it runs, or what it was. O(entries). */
export const standingOf = (all: readonly Entry[], spill: EntryId): EntryId[] =>
  entriesInForce(all).flatMap(({ id, kind, body }) =>
    kind === 'spill' && (id === spill || body.spill === spill) ? [id] : [],
  );

/** The spills that run, as the log book has it, the latest first. O(entries). */
export function runningIn(all: readonly Entry[], nowMs: number): SharedSpill[] {
  return entriesInForce(all)
    .flatMap(({ id, kind, body }): SharedSpill[] => {
      if (kind !== 'spill' || body.isRunning !== true) return [];
      const [startedAt, facts] = [inMs(body.startedAt), factsIn(body.facts)];
      return startedAt !== null && facts && nowMs - startedAt < OFFERED_MS ? [{ id, startedAt, facts }] : [];
    })
    .reverse();
}

/** The same words give the same id, so that what is written twice is stored once. */
function idFor(time: number, words: readonly string[]): EntryId {
  let seed = 0x811c9dc5;
  for (const sign of JSON.stringify(words)) seed = Math.imul(seed ^ (sign.codePointAt(0) ?? 0), 0x01000193);
  const { uniform } = seededRandom(seed);
  return uuidV7(
    time,
    Uint8Array.from({ length: 10 }, () => Math.floor(uniform() * 256)),
  );
}

const isoMs = (ms: number) => new Date(ms).toISOString();
type ToWrite = Written & { id: EntryId };

/** What the log book is told of a spill that runs, each entry under an id that is the same whenever it is asked for. */
export function entriesFor(
  spill: { id: EntryId; startedAt: number; events: readonly SpillStepEvent[] },
  facts: SpillFacts,
  { all, by, note }: { all: readonly Entry[]; by: string; note: string },
): ToWrite[] {
  const { id, startedAt } = spill;
  const { place, litres, fluid } = facts;
  const begun: ToWrite = {
    id,
    kind: 'spill',
    by,
    atMs: startedAt,
    body: {
      ...place,
      litres,
      fluid: fluid === 'unknown' ? 'other' : fluid,
      isRunning: true,
      startedAt: isoMs(startedAt),
      facts,
    },
  };
  const said = spill.events.flatMap((event): ToWrite[] =>
    event.event === 'taken-back' ? takenBack(event, { all, note }) : [saidOf(event)],
  );
  return [begun, ...said];
}

function saidOf({ spill, step, event, time, by }: SpillStepEvent): ToWrite {
  const action = event === 'placed' ? 'placed' : 'not-placed';
  const body = { action, ...step, spill, step: event, time: isoMs(time) } as const;
  return { id: idFor(time, [spill, step.at, step.control, event, by]), kind: 'action', by, atMs: time, body };
}

/** Takes back whatever anybody has said of the step before. */
function takenBack(
  { spill, step, time, by }: SpillStepEvent,
  { all, note }: { all: readonly Entry[]; note: string },
): ToWrite[] {
  return all.flatMap((entry): ToWrite[] => {
    const said = stepIn(entry, spill);
    if (!said || !isSameStep(said.step, step) || said.time > time) return [];
    const body = { corrects: entry.id, note, spill, time: isoMs(time) };
    return [{ id: idFor(time, [spill, entry.id, by]), kind: 'correction', by, atMs: time, body }];
  });
}

/** How far what is said here gets: others see it, will see it once there is a signal, or never. */
export const sharing = computed((): 'shared' | 'waits' | 'alone' | 'ended' => {
  const spill = running.value;
  if (hasLogBook.value === false || bookState.value === 'none' || !mayWrite.value) return 'alone';
  if (bookState.value === 'sign-in') return 'alone';
  if (bookState.value !== 'here') return 'waits';
  if (spill && isStruck(spill.id)) return 'ended';
  // What the log book has not taken yet nobody else sees.
  return waitingHere.value.some(
    ({ entry }) => entry.id === spill?.id || ('spill' in entry.body && entry.body.spill === spill?.id),
  )
    ? 'waits'
    : 'shared';
});

/** Whether somebody has written down the end of it. */
const isStruck = (spill: EntryId) =>
  entries.value.some((each) => each.kind === 'correction' && each.body.corrects === spill);

/** Spills that run on other devices and can be joined. */
export const spillsElsewhere = computed((): SharedSpill[] =>
  isClockOn.value || entries.value.length === 0 ? [] : runningIn(entries.value, Date.now()),
);

/** Takes part in a spill that somebody else has told. */
export const joinSpill = (spill: SharedSpill): void => batch(() => joinClock(spill));

/** What was asked to be written by this page; the list of entries shows it a moment later. */
const asked = new Set<EntryId>();

/** Shares what is said of a running spill through the log book, both ways, for as long as the page lives. */
export function keepSharing(): void {
  effect(() => {
    const [spill, all] = [running.value, entries.value];
    if (spill) eventsElsewhere.value = eventsIn(all, spill.id);
  });
  effect(() => {
    const [spill, facts, open, all] = [running.value, spillFacts.value, yard.value, entries.value];
    const mayShare = !['none', 'asking', 'sign-in'].includes(bookState.value) && mayWrite.value;
    if (!spill || !facts || !open || !mayShare || spill.yard !== open.fileName) return;
    untracked(() => void shareAll(open, entriesFor(spill, facts, { all, by: byName.value, note: takenBackNote() })));
  });
}

const takenBackNote = () => say('spill-screen.taken-back-note');

async function shareAll(open: OpenYard, wanted: readonly ToWrite[]): Promise<void> {
  const known = new Set(entries.value.map(({ id }) => id));
  const fresh = wanted.filter(({ id }) => !known.has(id) && !asked.has(id));
  for (const { id } of fresh) asked.add(id);
  for (const each of fresh) await writeOrShowFault(open, each);
}

/** Tells the others that a spill that was not written down is over; who has only joined leaves it to them. */
export function withdrawSpill(): void {
  const [spill, open] = [running.value, yard.value];
  if (!spill || !open || spill.isJoined || !standingOf(entries.value, spill.id).includes(spill.id)) return;
  const body = { corrects: spill.id, note: say('spill-screen.ended-note') };
  void writeOrShowFault(open, { kind: 'correction', by: byName.value, body });
}
