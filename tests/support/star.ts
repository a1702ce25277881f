import type { RawFinding } from './slow-sources.ts';
import type { YardWords } from './yard.ts';

/** Windows of one year of 365.25 days, of two, and the second of the two. */
export const YEAR = { since: '2023-01-01T00:00Z', seenAt: '2024-01-01T06:00Z' };
export const TWO_YEARS = { since: '2023-01-01T00:00Z', seenAt: '2024-12-31T12:00Z' };
export const SECOND_YEAR = { since: '2024-01-01T06:00Z', seenAt: '2024-12-31T12:00Z' };

/** A finding over the first year unless said otherwise. */
export const look = (id: string, at: string, more: Partial<RawFinding>): RawFinding => ({ id, at, ...YEAR, ...more });

/** An amount, for `look`. */
export const litres = (amount: number, factor = 1.2): Partial<RawFinding> => ({ amount: { litres: amount, factor } });

/** Zones of known yield, each through a manhole of its own to one separator that holds 0.8. */
export function star(litresPerYear: number[]): YardWords {
  const each = <T>(make: (yearly: number, number: number) => [string, T]) =>
    Object.fromEntries(litresPerYear.map((yearly, at) => make(yearly, at + 1)));
  return {
    zones: each((yearly, at) => [`Z${at}`, { oilLitresPerYear: yearly, drainsTo: `MH-${at}` }]),
    structures: {
      ...each((_, at) => [`MH-${at}`, { kind: 'manhole' }]),
      'SEP-1': { kind: 'separator', holds: 0.8 },
    },
    links: each((_, at) => [`P${at}`, { from: `MH-${at}`, to: 'SEP-1' }]),
  };
}
