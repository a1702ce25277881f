import { batch, computed, signal } from '@preact/signals';
import { type FindingValue, foundOil, type Seen } from '../../../sources/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { asked, askedId, bestToAsk, changeFinding, findings, findingWindow, openId, supposedId } from './finding.ts';
import { freeId } from './merge-findings.ts';
import { ask, clearPick } from './picked.ts';
import { setWalkerPlace, walkerPlace } from './walker-place.ts';
import { yard } from './yard.ts';

/** A finding that was put in or taken out here, with what is needed to take that back. */
interface Step {
  kind: 'added' | 'removed';
  finding: FindingSource;
  /** Where it stood in the list, and which finding was asked about. */
  index: number;
  askedId: string | null;
  /** What was only supposed at the place until this was seen there, and where it stood. */
  replaced?: { finding: FindingSource; index: number };
  /** Where the walker stood. */
  standing: typeof walkerPlace.value;
}

const steps = signal<readonly Step[]>([]);

/** The last thing that was put in or taken out, with its finding as it is now; null where there is nothing to take back. */
export const lastStep = computed(() => {
  const step = steps.value.at(-1);
  if (!step) return null;
  const finding = findings.value.find(({ id }) => id === step.finding.id) ?? step.finding;
  return { kind: step.kind, finding };
});

/** Leaves what was done as it is. */
export function forgetSteps(): void {
  steps.value = [];
}

/** Whether the next lid is to be brought into sight: a lid has been tapped, and what is said of it takes up room. */
export const isNextWanted = signal(false);

/**
 * Writes down that a place was looked at just now, and lets the odds move. A second tap on the same lid mends the
 * first. Who looked stands there now, where it was known at all where that is.
 */
export function say(at: string, seen: Seen, now: Date): void {
  batch(() => {
    const mended = steps.value.find(({ kind, finding }) => kind === 'added' && finding.at === at);
    if (mended && findings.value.some(({ id }) => id === mended.finding.id)) {
      changeFinding(mended.finding.id, { says: { seen }, fluid: undefined });
      steps.value = [...steps.value.filter((each) => each !== mended), mended];
    } else addFinding({ at, seen, ...findingWindow(asked.value, now) });
    if (walkerPlace.value !== null) setWalkerPlace(at);
    isNextWanted.value = true;
    clearPick();
    ask('from');
  });
}

/** Puts a finding at the end of the list and gives back its id. What was only supposed at the same place gives way to it. */
export function addFinding(seen: Pick<FindingSource, 'at' | 'since' | 'seenAt'> & FindingValue): string {
  const finding = { ...seen, id: freeId(findings.value) };
  const index = findings.value.findIndex(({ id, at }) => id === supposedId.value && at === finding.at);
  const replaced = index < 0 ? undefined : { finding: findings.value[index], index };
  const kept = findings.value.filter((each) => each !== replaced?.finding);
  batch(() => {
    steps.value = [...steps.value, { kind: 'added', finding, index: kept.length, replaced, ...before() }];
    findings.value = [...kept, finding];
    if (replaced) {
      supposedId.value = null;
      if (openId.value === replaced.finding.id) openId.value = null;
      if (askedId.value === replaced.finding.id) askedId.value = foundOil(finding) ? finding.id : null;
    }
    if (askedId.value === null && yard.value) askedId.value = bestToAsk(findings.value, yard.value)?.id ?? null;
  });
  return finding.id;
}

const before = () => ({ askedId: askedId.value, standing: walkerPlace.value });

/** Takes a finding out. If it was the one asked about, the question goes to the next best. */
export function removeFinding(id: string): void {
  const index = findings.value.findIndex((each) => each.id === id);
  if (index < 0 || !yard.value) return;
  const open = yard.value;
  batch(() => {
    steps.value = [...steps.value, { kind: 'removed', finding: findings.value[index], index, ...before() }];
    findings.value = findings.value.filter((each) => each.id !== id);
    if (openId.value === id) openId.value = null;
    if (askedId.value === id) askedId.value = bestToAsk(findings.value, open)?.id ?? null;
  });
}

/** Takes the last step back, as if it had never been done. */
export function takeBack(): void {
  const step = steps.value.at(-1);
  if (!step) return;
  batch(() => {
    steps.value = steps.value.slice(0, -1);
    const others = findings.value.filter(({ id }) => id !== step.finding.id);
    if (step.kind === 'removed') findings.value = withAt(others, step.finding, step.index);
    else if (step.replaced) {
      findings.value = withAt(others, step.replaced.finding, step.replaced.index);
      supposedId.value = step.replaced.finding.id;
    } else findings.value = others;
    if (step.kind === 'removed' || step.replaced || askedId.value === step.finding.id) askedId.value = step.askedId;
    if (walkerPlace.value === step.finding.at) walkerPlace.value = step.standing;
    if (openId.value === step.finding.id) openId.value = null;
  });
}

const withAt = (all: readonly FindingSource[], finding: FindingSource, index: number) => [
  ...all.slice(0, index),
  finding,
  ...all.slice(index),
];
