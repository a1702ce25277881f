import type { Voice } from '../catalogue/index.ts';
import type { FindingSource, Seen } from '../sources/index.ts';

interface SeenWords {
  /** In a list: "CB-2 clean". */
  list: string;
  /** On the map, at its place. */
  tag: string;
  /** In a line of the log book. */
  found: (place: string, fluid: string) => string;
  /** In a table of a visit that measured no oil, and in a sentence about its place. */
  cell: string;
  sentence: string;
}

/** A film of oil by how much of it there is; a look that says so says it in the same words everywhere. */
const oilAs = (kind: 'sheen' | 'film' | 'layer', tag: string): SeenWords => ({
  list: `${kind} of oil`,
  tag,
  found: (place, fluid) => `Found a ${kind} of ${fluid} in ${place}`,
  cell: `a ${kind} of oil, not measured`,
  sentence: `had a ${kind} of oil on it when seen`,
});

const SEEN_WORDS: Readonly<Record<Seen, SeenWords>> = {
  clean: {
    list: 'clean',
    tag: 'Seen clean',
    found: (place) => `Found ${place} clean`,
    cell: 'no oil',
    sentence: 'was clean when seen',
  },
  oil: {
    list: 'oil',
    tag: 'Oil seen',
    found: (place, fluid) => `Found ${fluid} in ${place}`,
    cell: 'oil, not measured',
    sentence: 'had oil in it when seen',
  },
  none: {
    list: 'no oil',
    tag: 'No oil seen',
    found: (place) => `Found no oil in ${place}`,
    cell: 'no oil',
    sentence: 'showed no oil when seen',
  },
  sheen: oilAs('sheen', 'Sheen seen'),
  film: oilAs('film', 'Oil film seen'),
  layer: oilAs('layer', 'Oil layer seen'),
};

/** What an entry of the log book says of a look. */
export const foundWords = (seen: Seen, { place, fluid }: { place: string; fluid: string }, _voice: Voice): string =>
  SEEN_WORDS[seen].found(place, fluid);

/** What a visit saw of oil, in a list of what it saw. */
export const seenInList = (seen: Seen, _voice: Voice): string => SEEN_WORDS[seen].list;

/** How a visit tells of oil that was not measured, in a table: "oil, not measured". */
export const seenCell = (seen: Seen, _voice: Voice): string => SEEN_WORDS[seen].cell;

/** The same in a sentence about its place: "CB-4 had oil in it when seen." */
export const seenSentence = (seen: Seen, name: string, _voice: Voice): string =>
  `${name} ${SEEN_WORDS[seen].sentence}.`;

/** What was seen where it was not measured: "clean", "sheen of oil"; an amount or a release as such. */
export function saidWords({ seen, amount, event }: FindingSource, _voice: Voice): string {
  if (amount) return 'an amount';
  return event ? 'a release' : SEEN_WORDS[seen].list;
}

/** The same as a tag on the map. */
export function tagWords({ seen, amount, event }: FindingSource, _voice: Voice): string {
  if (amount) return 'Oil seen';
  return event ? 'Release seen' : SEEN_WORDS[seen].tag;
}

/** The look that a reason is: "clean", "sheen of oil". One without a word is an amount of nothing. */
export const reasonWords = ({ seen }: FindingSource, _voice: Voice): string =>
  seen === undefined ? 'clean' : SEEN_WORDS[seen].list;

/** A look as a reason, with its place: "clean CB-6", "oil MH-12". */
export const lookWords = (source: FindingSource, at: string, voice: Voice): string =>
  `${reasonWords(source, voice)} ${at}`;
