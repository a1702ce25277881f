import { effect } from '@preact/signals';
import { ask } from '../compute/ask.ts';
import { askedId, findings, isOneSpill, isWorking, takeAnswer } from './finding.ts';
import { block, fluid, spillZone, zoneOf } from './picked.ts';
import { notice, yard } from './yard.ts';

/** How long typing must rest before the worker is asked, in ms. */
const REST_MS = 200;
const DEFAULT_SPILL_LITRES = 50;

/** Keeps the answers in step with the yard, the findings and the zone that is picked, for as long as the page lives. */
export function keepUp(): void {
  let rest: ReturnType<typeof setTimeout> | undefined;
  let before: unknown[] = [];
  effect(() => {
    const [open, seen, asked, isOne] = [yard.value, findings.value, askedId.value, isOneSpill.value];
    if (!open) return;
    clearTimeout(rest);
    isWorking.value = true;
    // Only what is typed has to come to rest: a yard just opened, or a lid just called clean, is asked about at once.
    const now = [open, seen.length, asked, isOne];
    const isTyped = now.every((each, at) => each === before[at]);
    rest = setTimeout(() => void askSources(seen, asked, isOne), isTyped ? REST_MS : 0);
    before = now;
  });
  effect(() => {
    const [open, zone, spilled] = [yard.value, spillZone.value, fluid.value];
    if (open && zone !== null) void askBlock(zone, spilled);
  });
}

async function askSources(seen: typeof findings.value, asked: string | null, isOne: boolean): Promise<void> {
  const outcome = await ask('sources', { findings: seen, asked, isOneSpill: isOne });
  if (!outcome) return;
  isWorking.value = false;
  if ('failed' in outcome) return tellFault(outcome.failed);
  takeAnswer(outcome.reply);
}

async function askBlock(zone: string, spilled: typeof fluid.value): Promise<void> {
  const litres = zoneOf(zone)?.properties.fluids?.[0]?.largestLitres || DEFAULT_SPILL_LITRES;
  const outcome = await ask('block', { zone, litres, fluid: spilled });
  if (!outcome) return;
  if ('failed' in outcome) return tellFault(outcome.failed);
  block.value = { ...outcome.reply, zone };
}

/** A fault of the program: said plainly, with the last answer left standing. */
export function tellFault(message: string): void {
  notice.value = {
    title: 'This could not be worked out.',
    rest: `Something broke inside (${message}). What stands here is the last answer; reload the page to start afresh.`,
    problems: [],
  };
}
