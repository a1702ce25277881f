import { instantOf } from '../site-map/index.ts';
import { type FillLimits, type Step, stepsAfter } from '../upkeep/index.ts';
import type { Entry } from './entry.ts';
import { conditionOf, standingEntries } from './standing.ts';

/** What is written down once a step was taken; null where only the next visit shows it. */
const DONE_BY: Readonly<Record<Step, 'pump-out' | 'packs-changed' | 'debris-removed' | null>> = {
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

export const actionFor = (step: Step) => DONE_BY[step];

/** What the last visit of a separator asks for and nothing written since then has done, most pressing first. O(entries). */
export function stepsLeft(entries: readonly Entry[], at: string, limits: FillLimits, timeZone = 'UTC'): Step[] {
  const here = standingEntries(entries).filter(({ body }) => body.at === at);
  const timeOf = (entry: Entry) => instantOf(entry.at, timeZone) ?? 0;
  const last = here
    .filter((entry) => entry.kind === 'visit' && conditionOf(entry))
    .reduce<Entry | null>((latest, entry) => (latest && timeOf(latest) > timeOf(entry) ? latest : entry), null);
  if (!last) return [];
  const since = here.filter((entry) => entry.kind === 'action' && timeOf(entry) >= timeOf(last));
  const done = new Set(since.map(({ body }) => body.action));
  return stepsAfter(conditionOf(last) ?? {}, limits).filter(
    (step) => !done.has(DONE_BY[step]) && !(done.has('pump-out') && GONE_WITH_OIL.includes(step)),
  );
}
