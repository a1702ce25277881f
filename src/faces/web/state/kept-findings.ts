import { batch, effect, signal, untracked } from '@preact/signals';
import { isObject } from '../../../site-map/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { keepWord, keptWord, onKeptElsewhere, valueIn } from './device-words.ts';
import { askedId, bestToAsk, findings, isOneSpill, openId, supposedId } from './finding.ts';
import { mergedFindings } from './merge-findings.ts';
import { yard, yardMark } from './yard.ts';

/** Whether another tab of this browser has changed the findings, and both lists were put together. */
export const isMerged = signal(false);

interface Kept {
  findings: readonly FindingSource[];
  askedId: string | null;
  supposedId: string | null;
  openId: string | null;
  isOneSpill: boolean;
}

const now = (): Kept => ({
  findings: findings.value,
  askedId: askedId.value,
  supposedId: supposedId.value,
  openId: openId.value,
  isOneSpill: isOneSpill.value,
});

const wordOf = () => `findings ${yardMark.value}`;
/** What this tab has last written or read, or what the yard began with; null while no yard has been opened. */
let last: string | null = null;

/** Takes up the findings that this device keeps of the yard that has just been opened. */
export function takeUpFindings(): void {
  isMerged.value = false;
  const kept = keptOf(keptWord(wordOf()));
  if (kept) show(kept);
  last = JSON.stringify(now());
}

/** What is shown takes the place of what was kept, whoever kept it. */
export function replaceKeptFindings(): void {
  isMerged.value = false;
  last = JSON.stringify(now());
  keepWord(wordOf(), last);
}

/** Keeps the findings of each yard on this device with every change, and those of other tabs beside them. */
export function keepFindings(): void {
  effect(() => {
    const text = JSON.stringify(now());
    if (last !== null && text !== last) untracked(write);
  });
  onKeptElsewhere((name) => {
    if (last !== null && name === wordOf() && merge()) write();
  });
}

function write(): void {
  merge();
  last = JSON.stringify(now());
  keepWord(wordOf(), last);
}

/** Takes over what another tab has written since, if it has. True where that tab lacks something of what both have now. */
function merge(): boolean {
  const word = keptWord(wordOf());
  const theirs = keptOf(word)?.findings;
  if (!theirs || word === last || !yard.value) return false;
  const open = yard.value;
  const mine = findings.value;
  const merged = mergedFindings(keptOf(last)?.findings ?? [], { mine, theirs });
  const has = (id: string | null) => merged.some((each) => each.id === id);
  batch(() => {
    if (!isSame(merged, mine)) {
      isMerged.value = true;
      findings.value = merged;
    }
    if (!has(supposedId.value)) supposedId.value = null;
    if (!has(openId.value)) openId.value = null;
    if (!has(askedId.value)) askedId.value = bestToAsk(merged, open)?.id ?? null;
    // Two tabs with another form open each do not write in turns for ever.
    last = JSON.stringify(now());
  });
  return !isSame(merged, theirs);
}

const isSame = (a: readonly FindingSource[], b: readonly FindingSource[]) => JSON.stringify(a) === JSON.stringify(b);

function show(kept: Kept): void {
  findings.value = kept.findings;
  askedId.value = kept.askedId;
  supposedId.value = kept.supposedId;
  openId.value = kept.openId;
  isOneSpill.value = kept.isOneSpill;
}

const isFinding = (value: unknown): value is FindingSource =>
  isObject(value) && ['id', 'at', 'since', 'seenAt'].every((field) => typeof value[field] === 'string');
const idOf = (value: unknown) => (typeof value === 'string' ? value : null);

function keptOf(word: string | null): Kept | null {
  const value = valueIn(word);
  if (!isObject(value) || !Array.isArray(value.findings) || !value.findings.every(isFinding)) return null;
  return {
    findings: value.findings,
    askedId: idOf(value.askedId),
    supposedId: idOf(value.supposedId),
    openId: idOf(value.openId),
    isOneSpill: value.isOneSpill === true,
  };
}
