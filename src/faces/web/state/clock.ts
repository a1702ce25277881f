import { batch, computed, effect, signal, untracked } from '@preact/signals';
import type { BlockPlan, BlockQuestion, PlannedControl } from '../../../block/index.ts';
import type { EntryId } from '../../../log-book/index.ts';
import { keepWord, keptWord, valueIn } from './device-words.ts';
import { ask, type BlockShown, block, clearPick, structureOf } from './picked.ts';
import { crewPosition, isClockOn, type SpillFacts, spillFacts, takeFacts } from './spill.ts';
import { type Called, type PlacedControl, uuidV7 } from './spill-entry.ts';
import { say } from './voice.ts';
import { notice, yard } from './yard.ts';

const KEPT_AS = 'spill';
const VERSION = 1;
const MS_PER_MINUTE = 60_000;

/** A spill that goes on: what is done about it, and since when. */
export interface Running {
  /** UUIDv7 of its entry in the log book. */
  id: EntryId;
  /** File name of the map it is on. */
  yard: string;
  /** When the oil began to run, by the device's clock in ms. */
  startedAt: number;
  placed: readonly PlacedControl[];
  called: readonly Called[];
  /** The first control was missed: the plan after that one counts. */
  isMissed: boolean;
  isSaved: boolean;
  /** The entry of the log book that it was saved as last; left out before. */
  savedAs?: EntryId;
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

/** One thing to do. */
export type Step = Omit<PlannedControl, 'kit'> & { kit: string | null };

/** The plan that counts: the one after a miss where the first control was missed. */
export const planNow = computed((): BlockPlan | null => {
  const answer = block.value?.answer;
  return answer ? ((running.value?.isMissed ? answer.ifMissed : null) ?? answer.plan) : null;
});

/** What to do, in order: the plan, the plan after a miss, or where to go all the same when it is too late. */
export const steps = computed((): readonly Step[] => {
  const answer = block.value?.answer;
  const controls = planNow.value?.controls ?? [];
  if (controls.length > 0 || !answer?.evenLate) return controls;
  const { at, control, cost, oilMinutes, crewMinutes } = answer.evenLate;
  return [{ at, control, cost, oilMinutes, crewMinutes, kit: null }];
});

const isSame = (a: Pick<Step, 'at' | 'control'>, b: Pick<Step, 'at' | 'control'>) =>
  a.at === b.at && a.control === b.control;

/** When a step was ticked as placed, in ms; null when it was not. */
export const placedAt = (step: Step): number | null =>
  running.value?.placed.find((each) => isSame(each, step))?.time ?? null;

/** The step to do now; null when all are done. */
export const stepNow = computed(() => steps.value.find((step) => placedAt(step) === null) ?? null);

/** What oil still gets into once all of the plan is in place; null before that, and where it was too late for a plan. */
export const heldTo = computed((): readonly string[] | null => {
  const plan = planNow.value;
  const isDone = isClockOn.value && stepNow.value === null && (plan?.controls.length ?? 0) > 0;
  return isDone && plan ? plan.fouled : null;
});

/** The spill is real: time counts from now on. */
export function startClock(): void {
  const [facts, shown, open] = [spillFacts.value, block.value, yard.value];
  if (!facts || !shown || !open) return;
  const time = Date.now();
  batch(() => {
    clearPick();
    now.value = time;
    block.value = { ...shown, askedAt: time };
    isClockOn.value = true;
    running.value = {
      id: uuidV7(time, crypto.getRandomValues(new Uint8Array(10))),
      yard: open.fileName,
      startedAt: time - facts.agoMinutes * MS_PER_MINUTE,
      placed: [],
      called: [],
      isMissed: false,
      isSaved: false,
    };
  });
}

const change = (part: Partial<Running>) => {
  if (running.value) running.value = { ...running.value, isSaved: false, ...part };
};

/** Ticks a step as placed now, or takes the tick back. */
export function togglePlaced(step: Step): void {
  if (!running.value) return;
  const { placed } = running.value;
  const { at, control } = step;
  change({
    placed: placed.some((each) => isSame(each, step))
      ? placed.filter((each) => !isSame(each, step))
      : [...placed, { at, control, time: Date.now() }],
  });
}

export const setMissed = (isMissed: boolean): void => change({ isMissed });
export const markSaved = (savedAs?: EntryId): void => change({ isSaved: true, savedAs });

/** Writes down that somebody is being called; before the clock runs nothing is written. */
export function noteCall(who: Omit<Called, 'time'>): void {
  if (running.value) change({ called: [...running.value.called, { ...who, time: Date.now() }] });
}

/** Ends the spill. What was not saved is gone. */
export function endClock(): void {
  batch(() => {
    running.value = null;
    isClockOn.value = false;
    block.value = null;
  });
  write(null);
}

/**
 * What to ask the worker about a spill. While the clock runs minutes count from now, and the crew sets out where it
 * placed something last.
 */
export function blockQuestion(facts: SpillFacts, time: number): BlockQuestion {
  const { place, litres, fluid, rainMmPerH } = facts;
  const last = running.value?.placed.at(-1);
  const agoMinutes = running.value ? Math.max(0, time - running.value.startedAt) / MS_PER_MINUTE : facts.agoMinutes;
  return {
    place,
    litres,
    fluid: fluid ?? undefined,
    rainMmPerH,
    agoMinutes,
    crew: (last && structureOf(last.at)?.position) ?? crewPosition(),
  };
}

/** What survives a reload. */
interface Kept {
  version: typeof VERSION;
  running: Running;
  facts: SpillFacts;
  shown: BlockShown;
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
    if (spill && facts && shown) write({ version: VERSION, running: spill, facts, shown });
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
    takeFacts(kept.facts);
    block.value = kept.shown;
    isClockOn.value = true;
    running.value = kept.running;
    ask('block');
  });
}
