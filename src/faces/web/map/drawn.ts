import type { SourcesAnswer } from '../../../sources/index.ts';
import type { Replies } from '../compute/protocol.ts';
import type { Transform } from './flat.ts';
import type { FlatYard } from './flat-yard.ts';

/** All that a drawing of the yard shows: the same on screen and on paper, so it is passed in and never looked up. */
export interface DrawnYard {
  flat: FlatYard;
  transform: Transform;
  answer: SourcesAnswer | null;
  /** Zones with a way to an outfall past no separator. */
  roundGoers: ReadonlySet<string>;
  /** Where the oil was seen, and how much, in words; null where nothing was. */
  seen: { at: string; words: string } | null;
  /** Other structures that were looked into, by what was seen last. */
  looks: readonly { at: string; isClean: boolean }[];
  /** The structure whose oil nothing on the map explains; null where something does. */
  unexplained: string | null;
  /** Lids to lift, the one that tells most first. */
  lids: readonly string[];
  /** The way of a spill and where to stop it; null when it is not asked about. */
  block: (Replies['block'] & { zone: string }) | null;
  pickedId: string | null;
  /** Begins the ids of this drawing's hatches: two drawings on one page must not share them. */
  hatchId: string;
}
