import { batch, computed, effect, signal, untracked } from '@preact/signals';
import type { PlannedControl } from '../../../block/index.ts';
import type { EntryId } from '../../../log-book/index.ts';
import type { ReportFacts } from '../../../spill/index.ts';
import type { Asks } from '../compute/protocol.ts';
import { byName } from './by-name.ts';
import { keepWord, keptWord, valueIn } from './device-words.ts';
import { entries } from './log-book.ts';
import { ask, type BlockShown, block, clearPick } from './picked.ts';
import { agoMinutes, isClockOn, type SpillFacts, spillFacts, takeFacts } from './spill.ts';
import { type Called, uuidV7 } from './spill-entry.ts';
import {
  isSameStep,
  type SpillStepEvent,
  type StepBy,
  type StepEvent,
  type StepStanding,
  stepsFrom,
} from './spill-steps.ts';
import { say } from './voice.ts';
import { notice, yard } from './yard.ts';

const KEPT_AS = 'spill';
const VERSION = 2;
const MS_PER_MINUTE = 60_000;

/** A spill that goes on: what is done about it, and since when. */
export interface Running {
  /** UUIDv7 of its entry in the log book. */
  id: EntryId;
  /** File name of the map it is on. */
  yard: string;
  /** When the oil began to run, by the device's clock in ms. */
  startedAt: number;
  /** When somebody said that it runs, and help was called. */
  toldAt: number;
  /** What was said of its steps, on this device. */
  events: readonly SpillStepEvent[];
  called: readonly Called[];
  /** What somebody has said of how far it got, which decides whether it has to be reported. */
  reached: ReportFacts;
  /** The number that an authority gave the report; empty before. */
  reference: string;
  isSaved: boolean;
  /** Somebody else has told it: they write down its end. */
  isJoined?: boolean;
}

/** The spill whose clock runs; null when none does. */
export const running = signal<Running | null>(null);

/** The time now, by the device's clock in ms. It moves only while a spill's clock runs. */
export const now = signal(Date.now());

/** Minutes since the answer on screen was asked for; 0 while no clock runs. */
const sinceAsked = computed(() =>
  isClockOn.value && block.value ? Math.max(0, now.value - block.value.askedAt) / MS_PER_MINUTE : 0,
);

/** What is left of minutes that were counted when the answer was asked for; below 0 once they are over. */
export const minutesLeft = (minutes: number): number => minutes - sinceAsked.value;

/** What was said of steps on other devices. */
export const eventsElsewhere = signal<readonly SpillStepEvent[]>([]);

/** How the steps stand that somebody has answered, the first to be answered first. */
export const stepsSaid = computed((): StepStanding[] =>
  stepsFrom([...(running.value?.events ?? []), ...eventsElsewhere.value]),
);

/** The question about the spill as it stands, in one word: an answer to anything else is an older one. */
export const spillAsked = computed(() => JSON.stringify([spillFacts.value, stepsSaid.value, isClockOn.value]));

/** One thing to do. */
export type Step = PlannedControl;

/** What is left to do, in order. A step that was answered while the plan is worked out anew is no longer in it. */
export const steps = computed((): readonly Step[] =>
  (block.value?.answer?.plan.controls ?? []).filter((step) => !stepsSaid.value.some((said) => isSameStep(said, step))),
);

/** The step to do now, by who is at the spill where there is one for them; null when nothing is left to do. */
export const stepNow = computed(
  () => steps.value.find(({ hand }) => hand === null || hand === HERE) ?? steps.value[0] ?? null,
);

/** What oil still gets into once nothing more gets past what is in place; null before that. */
export const heldTo = computed((): readonly string[] | null => {
  const answer = block.value?.answer;
  return isClockOn.value && answer?.state === 'held' ? answer.plan.fouled : null;
});

/** The hand of somebody who is at the spill. */
export const HERE = 'here';

/** The spill is real: time counts from now on. */
export function startClock(): void {
  const open = yard.value;
  if (!open) return;
  const time = Date.now();
  batch(() => {
    clearPick();
    now.value = time;
    isClockOn.value = true;
    running.value = {
      id: uuidV7(time, crypto.getRandomValues(new Uint8Array(10))),
      yard: open.fileName,
      startedAt: time - agoMinutes.value * MS_PER_MINUTE,
      toldAt: time,
      events: [],
      called: [],
      reached: {},
      reference: '',
      isSaved: false,
    };
  });
}

/** Takes part in a spill that somebody else has told: the same one, with its clock as it stands. */
export function joinClock({ id, startedAt, facts }: { id: EntryId; startedAt: number; facts: SpillFacts }): void {
  const open = yard.value;
  if (!open) return;
  batch(() => {
    clearPick();
    takeFacts(facts);
    now.value = Date.now();
    isClockOn.value = true;
    running.value = {
      id,
      yard: open.fileName,
      startedAt,
      toldAt: startedAt,
      events: [],
      called: [],
      reached: {},
      reference: '',
      isSaved: false,
      isJoined: true,
    };
    ask('block');
  });
}

const change = (part: Partial<Running>) => {
  if (running.value) running.value = { ...running.value, isSaved: false, ...part };
};

/** Writes down what somebody says of a step, now. */
export function sayOfStep({ at, control, hand, kit }: StepBy, event: StepEvent): void {
  const spill = running.value;
  if (!spill) return;
  const said: SpillStepEvent = {
    spill: spill.id,
    step: { at, control, hand, kit },
    event,
    time: Date.now(),
    by: byName.value,
  };
  change({ events: [...spill.events, said] });
}

export const markSaved = (): void => change({ isSaved: true });

/** Writes down that somebody is being called; before the clock runs nothing is written. */
export function noteCall(who: Omit<Called, 'time'>): void {
  if (running.value) change({ called: [...running.value.called, { ...who, time: Date.now() }] });
}

/** Writes down how far somebody says it got. */
export function sayReached(fact: Partial<ReportFacts>): void {
  if (running.value) change({ reached: { ...running.value.reached, ...fact } });
}

export const sayReference = (reference: string): void => change({ reference });

/** Ends the spill. What was not saved is gone. */
export function endClock(): void {
  batch(() => {
    running.value = null;
    isClockOn.value = false;
    block.value = null;
    eventsElsewhere.value = [];
  });
  write(null);
}

/**
 * What to ask the worker about a spill. While the clock runs minutes count from now, what is placed stands, with whoever
 * placed it, and what cannot be or was passed is left out.
 */
export function blockQuestion(facts: SpillFacts, time: number): Asks['block'] {
  const { place, litres, isStill, fluid, rainMmPerH } = facts;
  const spill = running.value;
  const agoMinutes = spill ? Math.max(0, time - spill.startedAt) / MS_PER_MINUTE : facts.agoMinutes;
  const minutesOf = (ms: number) => (spill ? (ms - spill.startedAt) / MS_PER_MINUTE : 0);
  const said = stepsSaid.value;
  const placed = said.filter((each) => each.is === 'placed');
  return {
    place,
    litres,
    isStill,
    ...(facts.overMinutes === null ? {} : { overMinutes: facts.overMinutes }),
    fluid,
    rainMmPerH,
    agoMinutes,
    helpers: facts.helpers,
    minutesSinceCall: spill ? Math.max(0, time - spill.toldAt) / MS_PER_MINUTE : 0,
    placed: placed.map(({ is: _, time: ms, ...step }) => ({ ...step, minutes: minutesOf(ms) })),
    ruledOut: said.filter(({ is }) => is !== 'placed').map(({ at, control }) => ({ at, control })),
    entries: entries.value,
    goneBy: said.filter(({ is }) => is === 'gone-past').map(({ at }) => at),
  };
}

/** What survives a reload. */
interface Kept {
  version: typeof VERSION;
  running: Running;
  facts: SpillFacts | null;
  shown: BlockShown | null;
}

const write = (kept: Kept | null) => keepWord(KEPT_AS, kept && JSON.stringify(kept));

function read(): Kept | null {
  const kept = valueIn(keptWord(KEPT_AS)) as Kept | null | undefined;
  return kept?.version === VERSION ? kept : null;
}

/** Keeps the clock true and the spill kept, for as long as the page lives; takes up one that a reload has interrupted. */
export function keepClock(): void {
  effect(() => {
    const [spill, facts, shown] = [running.value, spillFacts.value, block.value];
    if (spill) write({ version: VERSION, running: spill, facts, shown });
  });
  effect(() => {
    if (yard.value) untracked(restoreSpill);
  });
  effect(() => {
    if (!isClockOn.value) return undefined;
    const tick = () => {
      now.value = Date.now();
    };
    // The clock is read at every tick, so that a device that has slept shows the right time as soon as it wakes.
    const ticks = setInterval(tick, 1000);
    document.addEventListener('visibilitychange', tick);
    return () => {
      clearInterval(ticks);
      document.removeEventListener('visibilitychange', tick);
    };
  });
}

/** Goes on with a spill that this device kept, when its yard is opened again. */
function restoreSpill(): void {
  const kept = read();
  if (!kept || running.value || !yard.value) return;
  if (kept.running.yard !== yard.value.fileName) {
    notice.value = {
      title: say('state.clock-still-runs'),
      rest: say('state.clock-on-map', { map: kept.running.yard }),
      problems: [],
    };
    return;
  }
  batch(() => {
    now.value = Date.now();
    if (kept.facts) takeFacts(kept.facts);
    block.value = kept.shown;
    isClockOn.value = true;
    running.value = kept.running;
    ask('block');
  });
}
