import type { BlockAnswer, BlockQuestion } from '../../../block/index.ts';
import type { MapReport, WaysThrough } from '../../../drainage/index.ts';
import type { CurveSoFar, KitsPlan, KitsQuestion } from '../../../kits/index.ts';
import type { DueVisit, Entry } from '../../../log-book/index.ts';
import type { FrontierSoFar, MeasuresPlan } from '../../../measures/index.ts';
import type { Position, Problem, SiteMap } from '../../../site-map/index.ts';
import type { FindingSource, SourcesAnswer } from '../../../sources/index.ts';
import type { SpillAnswer, SpillPlace } from '../../../spill/index.ts';
import type { FillLimits } from '../../../upkeep/index.ts';

export type { FindingSource };

/** A yard that can be computed with, and all that the screen needs to show it. */
export interface Yard {
  map: Omit<SiteMap, 'file'>;
  report: MapReport;
  /** Fraction of passing oil that each structure keeps, by id. */
  holds: Record<string, number>;
}

/** Who can place controls: whoever is there and the crews, or one of these alone. */
export const HELPERS = ['all', 'alone', 'crews'] as const;
export type Helpers = (typeof HELPERS)[number];

/** A way on foot, with the kit that is fetched on it; infinite minutes and no points where there is no way. */
export interface Walk {
  start: Position;
  kit: Position | null;
  end: Position;
  path: Position[];
  minutes: number;
}

/** What the page asks of the worker. The map that was opened last is the one that is asked about. */
export interface Asks {
  /** Reads a map, and findings with it. A map with errors leaves the one before open. */
  open: { mapText: string; findingsText: string | null };
  /** Reads a findings file, as text or as the object it is, against the open map. */
  findings: { text: string } | { file: object };
  /**
   * `asked` is the id of the finding whose place is asked about; null leaves it to the findings. `from` is where the
   * person stands who lifts the lids; null or left out where that is not known.
   */
  sources: {
    findings: readonly FindingSource[];
    asked: string | null;
    isOneSpill?: boolean;
    from?: string | Position | null;
  };
  /** Where a spill goes, and where to block it; `minutesSinceCall` since help was called. `goneBy` are places that the oil was seen to have passed already. */
  block: Omit<BlockQuestion, 'hands'> & {
    goneBy?: readonly string[];
    helpers?: Helpers;
    minutesSinceCall?: number;
    /** Of the log book: what separators were read to hold is no room any more. */
    entries?: readonly Entry[];
  };
  /** The way on foot of who does a step: from where they stand, by a kit where one is fetched, to the place. */
  walk: { from: Position; kit: string | null; at: string; place: SpillPlace };
  /** What drains to a zone or structure, and what it drains to. */
  ways: { id: string };
  /** How full each separator is: by the log book, or by findings where it has read none. `today` is YYYY-MM-DD. */
  upkeep: { entries: readonly Entry[]; findings: readonly FindingSource[]; today: string };
  /** Where kits should stand. */
  kits: KitsQuestion & OfMap;
  /** The next step of what more kits would do; from its start where it has not been begun for this map and these kits. */
  kitsCurve: Pick<KitsQuestion, 'keep'> & OfMap;
  /** What keeps out most oil for a budget; null leaves the budget to the answer. */
  measures: { budget: number | null } & OfMap;
  /** The next step of the money–litres frontier; from its start where it has not been begun for this map. */
  frontier: OfMap;
}

/** The planner has a worker of its own, which knows a map by its text alone. */
interface OfMap {
  mapText: string;
}

/** One reading of a separator: litres held, within ×/÷ the factor two times in three. */
export interface Reading {
  ms: number;
  litres: number;
  factor: number;
}

/** How much oil each measured finding comes to, and the factor within which that is right two times in three, by id. */
export type Amounts = Record<string, { litres: number; factor: number }>;

export interface Replies {
  open: {
    yard: Yard | null;
    findings: FindingSource[];
    amounts: Amounts;
    mapProblems: Problem[];
    findingProblems: Problem[];
  };
  findings: { findings: FindingSource[]; amounts: Amounts; problems: Problem[] };
  sources: { answer: SourcesAnswer | null; amounts: Amounts; problems: Problem[] };
  /** Null where the open map has no such zone or structure. */
  ways: WaysThrough | null;
  walk: Walk | null;
  block: {
    /** Where on the globe the spill is: its point, else the middle of its zone. */
    spilledAt: Position | null;
    answer: BlockAnswer | null;
    spill: SpillAnswer | null;
    problems: Problem[];
  };
  upkeep: {
    /** The soonest due first. */
    visits: DueVisit[];
    /** What each separator held when it was read, in time order, by id. */
    readings: Record<string, Reading[]>;
    limits: Record<string, FillLimits>;
    /** Whether it rests on the log book. */
    isFromBook: boolean;
    problems: Problem[];
  };
  kits: { answer: KitsPlan | null; problems: Problem[] };
  kitsCurve: CurveSoFar;
  /** `budget` is what the answer is for, `total` what all measures would cost. */
  measures: { answer: MeasuresPlan | null; budget: number; total: number; problems: Problem[] };
  frontier: FrontierSoFar;
}

export type Task = keyof Asks;

/** What needs the solver: these run in a worker of their own, so that no other question waits for them. */
export const PLANNER_TASKS = ['kits', 'kitsCurve', 'measures', 'frontier'] as const;
export type PlannerTask = (typeof PLANNER_TASKS)[number];

export interface Request<T extends Task = Task> {
  number: number;
  task: T;
  ask: Asks[T];
}

/** `failed` says what broke inside; it stands for a fault of the program, never of the input. */
export type Response =
  | { [T in Task]: { number: number; task: T; reply: Replies[T] } }[Task]
  | { number: number; task: Task; failed: string };
