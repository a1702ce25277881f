import { effect, untracked } from '@preact/signals';
import { ask } from '../compute/ask.ts';
import type { Asks } from '../compute/protocol.ts';
import { blockQuestion, spillAsked } from './clock.ts';
import { askedId, findings, isOneSpill, isWorking, takeAnswer } from './finding.ts';
import { question as asking, block, knownWays, pickedId, structureOf, zoneOf } from './picked.ts';
import {
  budget,
  frontier,
  isBudgeting,
  isKept,
  isPlacing,
  kits,
  kitsCurve,
  measures,
  newKits,
  planPart,
  withinMinutes,
} from './plan.ts';
import { type SpillFacts, spillFacts, spillZone } from './spill.ts';
import { say } from './voice.ts';
import { keepWalk } from './walk.ts';
import { walkerPlace } from './walker-place.ts';
import { notice, type OpenYard, yard } from './yard.ts';

/** How long typing must rest before the worker is asked, in ms. */
const REST_MS = 200;

/** Keeps the answers in step with the yard, the findings and the zone that is picked, for as long as the page lives. */
export function keepAnswersCurrent(): void {
  let rest: ReturnType<typeof setTimeout> | undefined;
  let before: unknown[] = [];
  effect(() => {
    const question = {
      findings: findings.value,
      asked: askedId.value,
      isOneSpill: isOneSpill.value,
      from: walkerPlace.value,
    };
    const open = yard.value;
    if (!open) return;
    clearTimeout(rest);
    isWorking.value = true;
    // Only what is typed has to come to rest: a yard just opened, or a lid just called clean, is asked about at once.
    const now = [open, question.findings.length, question.asked, question.isOneSpill, question.from];
    const isTyped = now.every((each, at) => each === before[at]);
    rest = setTimeout(() => void askSources(question), isTyped ? REST_MS : 0);
    before = now;
  });
  effect(() => {
    // The start and the end of a spill's clock ask anew too, and so does all that is said of its steps.
    const [open, facts, asked] = [yard.value, spillFacts.value, spillAsked.value];
    if (open && facts) untracked(() => void askBlock(facts, asked));
    else untracked(() => (block.value = null));
  });
  effect(() => {
    const [open, id] = [yard.value, pickedId.value];
    if (open && id !== null && (zoneOf(id) || structureOf(id))) untracked(() => void askWays(id));
  });
  keepWalk();
  keepPlanCurrent();
}

/** The planner's answers are kept in step only while it is looked at: its solver is large. */
function keepPlanCurrent(): void {
  let restKits: ReturnType<typeof setTimeout> | undefined;
  let restMeasures: ReturnType<typeof setTimeout> | undefined;
  effect(() => {
    const open = yard.value;
    const question = { count: newKits.value, keep: isKept.value, withinMinutes: withinMinutes.value };
    if (!open || asking.value !== 'kits') return;
    clearTimeout(restKits);
    untracked(() => {
      isPlacing.value = true;
      restKits = setTimeout(() => void askKits({ ...question, mapText: open.mapText }), kits.value ? REST_MS : 0);
    });
  });
  effect(() => {
    const [open, money] = [yard.value, budget.value];
    if (!open || asking.value !== 'kits' || planPart.value !== 'measures') return;
    clearTimeout(restMeasures);
    untracked(() => {
      isBudgeting.value = true;
      restMeasures = setTimeout(() => void askMeasures(open, money), measures.value ? REST_MS : 0);
    });
  });
}

async function askKits(question: Asks['kits']): Promise<void> {
  const outcome = await ask('kits', question);
  if (!outcome) return;
  isPlacing.value = false;
  if ('failed' in outcome) return showFault(outcome.failed);
  if (yard.value?.mapText !== question.mapText) return;
  kits.value = outcome.reply;
  if (outcome.reply.answer) void askKitsCurve(question);
}

/** One number of kits after the other, after the answer, and no longer than it is looked at. */
async function askKitsCurve({ mapText, keep }: Asks['kits']): Promise<void> {
  const isWanted = () => yard.value?.mapText === mapText && isKept.value === keep && asking.value === 'kits';
  for (let part = 0; part < 1 && isWanted(); ) {
    const outcome = await ask('kitsCurve', { mapText, keep });
    if (!outcome) return;
    if ('failed' in outcome) return showFault(outcome.failed);
    part = outcome.reply.part;
    if (isWanted()) kitsCurve.value = outcome.reply;
  }
}

async function askMeasures(open: OpenYard, money: number | null): Promise<void> {
  const outcome = await ask('measures', { mapText: open.mapText, budget: money });
  if (!outcome) return;
  isBudgeting.value = false;
  if ('failed' in outcome) return showFault(outcome.failed);
  if (yard.value !== open) return;
  measures.value = outcome.reply;
  void askFrontier(open);
}

/** Step by step, so that a changed budget is answered in between, and no longer than it is looked at. */
async function askFrontier(open: OpenYard): Promise<void> {
  while (yard.value === open && asking.value === 'kits' && (frontier.value?.part ?? 0) < 1) {
    const outcome = await ask('frontier', { mapText: open.mapText });
    if (!outcome) return;
    if ('failed' in outcome) return showFault(outcome.failed);
    if (yard.value === open) frontier.value = outcome.reply;
  }
}

async function askSources(question: Asks['sources']): Promise<void> {
  const outcome = await ask('sources', question);
  if (!outcome) return;
  isWorking.value = false;
  if ('failed' in outcome) return showFault(outcome.failed);
  takeAnswer(outcome.reply);
}

async function askWays(id: string): Promise<void> {
  const outcome = await ask('ways', { id });
  if (!outcome) return;
  if ('failed' in outcome) return showFault(outcome.failed);
  knownWays.value = outcome.reply;
}

async function askBlock(facts: SpillFacts, asked: string): Promise<void> {
  // A plan that is being carried out is not worked out anew while nothing has changed.
  if (block.value?.asked === asked) return;
  const askedAt = Date.now();
  const outcome = await ask('block', blockQuestion(facts, askedAt));
  if (!outcome || asked !== spillAsked.value) return;
  if ('failed' in outcome) return showFault(outcome.failed);
  block.value = { ...outcome.reply, zone: spillZone.value ?? '', askedAt, asked };
}

/** A fault of the program: said plainly, with the last answer left standing. */
export function showFault(message: string): void {
  notice.value = {
    title: say('state.fault'),
    rest: say('state.fault-inside', { message }),
    problems: [],
  };
}
