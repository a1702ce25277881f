import type { Voice } from '../catalogue/index.ts';
import type { SealedEntry } from '../log-book/index.ts';

/**
 * Who wrote an entry, and under whose account it came where `by` does not say that: "J. Ortega", "J. Ortega (this machine)",
 * "J. Ortega (account M. Lund)". Nothing is added to an entry that waits to be sent, or is older than accounts. `shorten` makes
 * a name short enough for its place.
 */
export function writerWords(
  { by: name, account }: Pick<SealedEntry, 'by' | 'account'>,
  shorten: (name: string) => string,
  voice: Voice,
): string {
  const by = shorten(name);
  if (account === undefined || account === name) return by;
  return account === null
    ? voice.say('visits.by-here', { by })
    : voice.say('visits.by-account', { by, account: shorten(account) });
}
