import { computed } from '@preact/signals';
import { spillAsked } from './clock.ts';
import { isWorking } from './finding.ts';
import { block, type Question, question } from './picked.ts';
import { isBudgeting, isPlacing, planPart } from './plan.ts';
import { spillFacts } from './spill.ts';
import { isReading } from './upkeep.ts';

const isOnItsWay: Record<Question, () => boolean> = {
  from: () => isWorking.value,
  block: () => spillFacts.value !== null && block.value?.asked !== spillAsked.value,
  kits: () => (planPart.value === 'kits' ? isPlacing.value : isBudgeting.value),
  full: () => isReading.value,
};

/** Whether the figures on screen answer an older question than the one that stands there, and a newer answer is on its way. */
export const isStale = computed(() => isOnItsWay[question.value]());
