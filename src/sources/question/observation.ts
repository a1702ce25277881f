import { told } from '../../catalogue/index.ts';
import { type Problem, problem } from '../../site-map/index.ts';
import type { Finding, Measured, Sighting, Window } from '../findings/findings.ts';
import { FLOATING } from './loads.ts';

/** A finding that the balance of floating oil can take in. */
export type Counted = Exclude<Finding, { seen: 'event' }>;

/** A place at which nobody looked, so that shares can be taken there all the same. */
type Blind = Window & { seen: 'unseen'; source: { fluid?: undefined; rainMm?: undefined } };

/** What the engines weigh. */
export type Observation = Counted | Blind;

/** What each kind of observation is to them; a kind that is added is asked for here, a new form in `saidBy` too. */
const KINDS: Readonly<Record<Observation['seen'], { form: 'look' | 'amount' | null; isOily: boolean }>> = {
  clean: { form: 'look', isOily: false },
  oil: { form: 'look', isOily: true },
  amount: { form: 'amount', isOily: true },
  unseen: { form: null, isOily: false },
};

/** Clean or oil was said. */
export const isLook = (each: Observation): each is Observation & Sighting => KINDS[each.seen].form === 'look';
/** An amount above 0 was measured. */
export const isMeasured = (each: Observation): each is Observation & Measured => KINDS[each.seen].form === 'amount';
/** Somebody looked there at all. */
export const isSeen = ({ seen }: Observation): boolean => KINDS[seen].form !== null;
/** Oil was found. */
export const isOily = ({ seen }: Observation): boolean => KINDS[seen].isOily;

/**
 * Findings that can be weighed together, in their order, and a note (`not-counted`) for each that cannot: those of a fluid that does not
 * float, and releases that somebody saw happen. The notes are no errors; the answer stands without these findings. O(findings).
 *
 * @example
 * import { countedOf } from 'oilshed/sources';
 * const source = { id: 'F-1', at: 'CB-1', since: '2026-03-01', seenAt: '2026-05-30', seen: 'oil' as const, fluid: 'coolant' as const };
 * const window = { id: 'F-1', at: 'CB-1', sinceMs: 0, seenAtMs: 1, years: 3e-11 };
 * const { counted, notes } = countedOf([{ ...window, seen: 'oil', noticeLitres: 0.1, misread: 0.03, source }]);
 * [counted.length, notes[0].code]; // → [0, 'not-counted']
 */
export function countedOf(findings: readonly Finding[]): { counted: Counted[]; notes: Problem[] } {
  const counted: Counted[] = [];
  const notes: Problem[] = [];
  for (const finding of findings) {
    const { id, source } = finding;
    if (source.fluid !== undefined && !FLOATING.includes(source.fluid)) {
      const words = { message: told('sources.coolant-not-counted'), cure: told('sources.coolant-remedy') };
      notes.push(problem('not-counted', { id, field: 'fluid' }, words));
    } else if (finding.seen === 'event') {
      const words = { message: told('sources.event-not-counted'), cure: told('sources.event-not-counted-remedy') };
      notes.push(problem('not-counted', { id, field: 'event' }, words));
    } else counted.push(finding);
  }
  return { counted, notes };
}
