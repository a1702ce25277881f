import { instantOf } from '../site-map/index.ts';
import { type FillLimits, type Step, stepsAfter } from '../upkeep/index.ts';
import type { Action } from './bodies.ts';
import { type Entry, ofKind, subjectOf } from './entry.ts';
import { entriesInForce } from './in-force.ts';

/** What is written down once a step was taken; null where only the next visit shows it. */
const DONE_BY: Readonly<Record<Step, Action | null>> = {
  'pump-out-oil': 'pump-out',
  'pump-out-sediment': 'pump-out',
  'watch-sediment': null,
  'fish-out-packs': 'packs-changed',
  'put-packs-in': 'packs-changed',
  'change-packs': 'packs-changed',
  'more-packs': 'packs-changed',
  'take-out-debris': 'debris-removed',
  'replace-plates': null,
  'mend-concrete': null,
  'clean-outlet': null,
};
/** What is in it goes with the oil when it is pumped out; what is broken, and the outlet, stay. */
const GONE_WITH_OIL: readonly Step[] = ['watch-sediment', 'fish-out-packs', 'change-packs', 'more-packs'];

/** What is written down once a step was taken; null where only the next visit shows it. */
export const actionFor = (step: Step) => DONE_BY[step];

/**
 * What the last visit of a separator asks for and nothing written since then has done, most pressing first; empty where
 * nobody looked at its condition yet. Only the last visit that did counts: what it did not find any more is taken to
 * be in order. Of visits at the same time the later one in the log book is the last. O(entries).
 */
export function stepsLeft(entries: readonly Entry[], at: string, limits: FillLimits, timeZone = 'UTC'): Step[] {
  const here = entriesInForce(entries).filter((entry) => subjectOf(entry) === at);
  const msOf = (entry: Entry) => instantOf(entry.at, timeZone) ?? 0;
  const [first, ...later] = ofKind(here, 'visit').filter(({ body }) => body.condition);
  if (!first) return [];
  const last = later.reduce((latest, entry) => (msOf(latest) > msOf(entry) ? latest : entry), first);
  const since = ofKind(here, 'action').filter((entry) => msOf(entry) >= msOf(last));
  const done = new Set<string | null>(since.map(({ body }) => body.action));
  return stepsAfter(last.body.condition ?? {}, limits).filter(
    (step) => !done.has(DONE_BY[step]) && !(done.has('pump-out') && GONE_WITH_OIL.includes(step)),
  );
}
