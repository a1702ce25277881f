import { batch, effect, untracked } from '@preact/signals';
import { ask } from '../compute/ask.ts';
import type { Asks } from '../compute/protocol.ts';
import { blockQuestion, setMissed } from './clock.ts';
import { askedId, findings, isOneSpill, isWorking, takeAnswer } from './finding.ts';
import { block } from './picked.ts';
import { isClockOn, type SpillFacts, spillFacts, spillZone } from './spill.ts';
import { standing } from './standing.ts';
import { notice, yard } from './yard.ts';

/** How long typing must rest before the worker is asked, in ms. */
const REST_MS = 200;

/** Keeps the answers in step with the yard, the findings and the zone that is picked, for as long as the page lives. */
export function keepUp(): void {
  let rest: ReturnType<typeof setTimeout> | undefined;
  let before: unknown[] = [];
  effect(() => {
    const question = {
      findings: findings.value,
      asked: askedId.value,
      isOneSpill: isOneSpill.value,
      from: standing.value,
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
    // The end of a spill's clock asks anew too: minutes count from the start again.
    const [open, facts] = [yard.value, spillFacts.value, isClockOn.value];
    if (open && facts) untracked(() => void askBlock(facts));
  });
}

async function askSources(question: Asks['sources']): Promise<void> {
  const outcome = await ask('sources', question);
  if (!outcome) return;
  isWorking.value = false;
  if ('failed' in outcome) return tellFault(outcome.failed);
  takeAnswer(outcome.reply);
}

async function askBlock(facts: SpillFacts): Promise<void> {
  const asked = JSON.stringify(facts);
  // A plan that is being carried out is not worked out anew while nothing has changed.
  if (block.value?.asked === asked) return;
  const askedAt = Date.now();
  const outcome = await ask('block', blockQuestion(facts, askedAt));
  if (!outcome || asked !== JSON.stringify(spillFacts.value)) return;
  if ('failed' in outcome) return tellFault(outcome.failed);
  batch(() => {
    block.value = { ...outcome.reply, zone: spillZone.value ?? '', askedAt, asked };
    // A new plan has not been missed yet.
    setMissed(false);
  });
}

/** A fault of the program: said plainly, with the last answer left standing. */
export function tellFault(message: string): void {
  notice.value = {
    title: 'This could not be worked out.',
    rest: `Something broke inside (${message}). What stands here is the last answer; reload the page to start afresh.`,
    problems: [],
  };
}
