import type { BlockAnswer, PlannedControl } from '../block/index.ts';
import type { Voice } from '../catalogue/index.ts';
import type { SourcesAnswer } from '../sources/index.ts';
import type { SpillAnswer, SpillWay } from '../spill/index.ts';
import type { Flat, Transform } from './flat.ts';
import type { FlatYard } from './flat-yard.ts';

/** The time that a drawing shows. What it gives may change while the drawing stands. */
export interface Timer {
  /** Whether a spill's clock runs. */
  isOn: boolean;
  /** What oil still gets into once all is done; null before that. */
  heldTo: readonly string[] | null;
  /** Minutes of the answer, in words as short as "4 min". */
  said(minutes: number | null): string;
  /** The same, as short as a ring can hold: "4". */
  brief(minutes: number | null): string;
  /** Part of a link, 0 to 1, that oil has likely come by now. */
  part(way: SpillWay): number;
}

/** A plan: kits with the zones that each serves, and measures in order. */
export interface DrawnPlan {
  kits: readonly { letter: string; spot: string | null; isStanding: boolean; at: Flat; serves: readonly string[] }[];
  measures: readonly { number: number; measure: string; at: string }[];
}

/** All that a drawing of the yard shows: the same on screen and on paper, so it is passed in and never looked up. */
export interface DrawnYard {
  flat: FlatYard;
  transform: Transform;
  answer: SourcesAnswer | null;
  /** Zones with a way to an outfall past no separator. */
  unprotected: ReadonlySet<string>;
  /** Where the oil was seen, and how much, in words; null where nothing was. */
  seen: { at: string; words: string } | null;
  /** Other structures and grounds that were looked at, by what was seen last. */
  looks: readonly { at: string; isClean: boolean }[];
  /** The structure whose oil nothing on the map explains; null where something does. */
  unexplained: string | null;
  /** Where the person who lifts the lids stands; null where that is not known. */
  here: Flat | null;
  /** Lids to lift, the one that tells most first. */
  lids: readonly string[];
  /** The way of a spill and where to stop it; null when it is not asked about. */
  block: { zone: string; spill: SpillAnswer | null; answer: BlockAnswer | null } | null;
  /** What to do about it, in order; empty when it is not asked about. */
  acts: readonly (Pick<PlannedControl, 'at' | 'control' | 'oilMinutes'> & { isPlaced: boolean })[];
  /** The very point where it lies; null where only its zone is known. */
  spillAt: Flat | null;
  /** The way on foot to the thing to do now, by way of a kit where one is fetched; left out where none is drawn. */
  walk?: { start: Flat; path: readonly Flat[]; kit: Flat | null } | null;
  timer: Timer;
  /** What the planner plans; null when that is not asked about. */
  plan: DrawnPlan | null;
  pickedId: string | null;
  /** Ids of what drains to what is picked, and of what it drains to, links with them; null where nothing is picked. */
  ways: { up: ReadonlySet<string>; down: ReadonlySet<string> } | null;
  /** Says what is written on it. */
  voice: Voice;
  /** Begins the ids of this drawing's hatches: two drawings on one page must not share them. */
  hatchId: string;
}
