import { batch, computed, signal } from '@preact/signals';
import type { CurveSoFar, PlacedKit } from '../../../kits/index.ts';
import type { FrontierSoFar, MeasureEffect } from '../../../measures/index.ts';
import { isObject } from '../../../site-map/index.ts';
import type { Replies } from '../compute/protocol.ts';
import { keepPart, numberOf } from './kept-parts.ts';
import { yard } from './yard.ts';

/** The planner's two parts. One is shown at a time, on the map too. */
export type PlanPart = 'kits' | 'measures';
export const planPart = signal<PlanPart>('kits');

/** How many new kits, whether those that stand stay and count, and the minutes within which one should be. */
export const newKits = signal(1);
export const isKept = signal(true);
export const withinMinutes = signal<number | undefined>(undefined);
/** Whether rules that may not hold here are told. */
export const isHintShown = signal(true);

/** Money for measures, in the site's currency; null until one is named: the first answer then says one. */
export const budget = signal<number | null>(null);

/** The last answers, and whether newer ones are on their way. */
export const kits = signal<Replies['kits'] | null>(null);
/** What more kits would do, for the kits that are kept or not. */
export const kitsCurve = signal<CurveSoFar | null>(null);
export const measures = signal<Replies['measures'] | null>(null);
export const frontier = signal<FrontierSoFar | null>(null);
export const isPlacing = signal(false);
export const isBudgeting = signal(false);

export const existingCount = computed(
  () => yard.value?.map.others.filter(({ properties }) => properties.kind === 'kit').length ?? 0,
);

/** New kits there are spots for. Before the first answer only the spots that are drawn are known of. */
export const mostNewKits = computed(() => {
  const drawn = yard.value?.map.others.filter(({ properties }) => properties.kind === 'kit-spot').length ?? 0;
  if (drawn > 0) return drawn;
  const answer = kits.value?.answer;
  return answer ? answer.spots - answer.kits.filter(({ isStanding }) => isStanding).length : 1;
});

/** A kit with the letter that it has on the map and in the list. */
export interface LetteredKit extends PlacedKit {
  letter: string;
}

const LETTERS = 26;
/** A to Z, then A2, B2 … */
export const letterOf = (at: number): string =>
  `${String.fromCharCode(65 + (at % LETTERS))}${at < LETTERS ? '' : Math.floor(at / LETTERS) + 1}`;

/** The kits of the answer: new ones first, as they are what to do. */
export const letteredKits = computed((): LetteredKit[] =>
  [...(kits.value?.answer?.kits ?? [])]
    .sort((a, b) => Number(a.isStanding) - Number(b.isStanding))
    .map((kit, at) => ({ ...kit, letter: letterOf(at) })),
);

export const chosenMeasures = computed((): readonly MeasureEffect[] => measures.value?.answer?.chosen ?? []);

/** Starts the plan afresh, as for a yard that has just been opened: one new kit, beside those that stand. */
export function forgetPlan(): void {
  batch(() => {
    kits.value = null;
    kitsCurve.value = null;
    measures.value = null;
    frontier.value = null;
    budget.value = null;
    withinMinutes.value = undefined;
    isKept.value = existingCount.value > 0;
    newKits.value = 1;
    isHintShown.value = true;
    planPart.value = 'kits';
  });
}

/** Keeps what is asked of the planner on this device, for as long as the page lives. */
export function keepPlan(): void {
  keepPart({
    name: 'plan',
    now: () => ({
      part: planPart.value,
      newKits: newKits.value,
      isKept: isKept.value,
      withinMinutes: withinMinutes.value,
      budget: budget.value,
      isHintShown: isHintShown.value,
    }),
    take: (kept) => {
      if (!isObject(kept)) return;
      planPart.value = kept.part === 'measures' ? 'measures' : 'kits';
      newKits.value = numberOf(kept.newKits) ?? 1;
      isKept.value = kept.isKept === true;
      withinMinutes.value = numberOf(kept.withinMinutes) ?? undefined;
      budget.value = numberOf(kept.budget);
      isHintShown.value = kept.isHintShown !== false;
    },
  });
}
