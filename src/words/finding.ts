import type { Voice } from '../catalogue/index.ts';
import type { FindingSource, Seen } from '../sources/index.ts';

/** What was seen, in the words of each place that tells it. */

/** What an entry of the log book says of a look: "Found a film of diesel in CB-3". */
export const foundWords = (seen: Seen, about: { place: string; fluid: string }, voice: Voice): string =>
  FOUND[seen](about, voice);

type Found = (about: { place: string; fluid: string }, voice: Voice) => string;
const FOUND: Readonly<Record<Seen, Found>> = {
  clean: ({ place }, voice) => voice.say('visits.found-clean', { place }),
  none: ({ place }, voice) => voice.say('visits.found-none', { place }),
  oil: (about, voice) => voice.say('visits.found-oil', about),
  sheen: (about, voice) => voice.say('visits.found-sheen', about),
  film: (about, voice) => voice.say('visits.found-film', about),
  layer: (about, voice) => voice.say('visits.found-layer', about),
};

/** In a list of what was seen: "clean", "sheen of oil". */
export const seenInList = (seen: Seen, voice: Voice): string => voice.say(IN_LIST[seen]);

const IN_LIST = {
  clean: 'visits.saw-clean',
  oil: 'visits.saw-any-oil',
  none: 'visits.saw-none',
  sheen: 'visits.saw-sheen',
  film: 'visits.saw-film',
  layer: 'visits.saw-layer',
} as const satisfies Record<Seen, string>;

/** How a visit tells of oil that was not measured, in a table: "oil, not measured". */
export const seenCell = (seen: Seen, voice: Voice): string => voice.say(`visits.cell-${seen}`);

/** What was seen where it was not measured: "clean", "sheen of oil"; an amount or a release as such. */
export function saidWords({ seen, amount, event }: FindingSource, voice: Voice): string {
  if (amount) return voice.say('visits.an-amount');
  return event ? voice.say('visits.a-release') : seenInList(seen, voice);
}

/** The same as a tag on the map. */
export function tagWords({ seen, amount, event }: FindingSource, voice: Voice): string {
  if (amount) return voice.say('drawing.seen-amount');
  return voice.say(event ? 'drawing.seen-release' : `drawing.seen-${seen}`);
}

/** The look that a reason is: "clean", "sheen of oil". One without a word is an amount of nothing. */
export const reasonWords = ({ seen = 'clean' }: FindingSource, voice: Voice): string => seenInList(seen, voice);

/** A look as a reason, with its place: "clean CB-6", "oil MH-12". */
export const lookWords = ({ seen = 'clean' }: FindingSource, at: string, voice: Voice): string =>
  voice.say(`answers.look-${seen}`, { at });
