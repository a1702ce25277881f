import type { Told } from '../catalogue/index.ts';
import type { Control, Fluid, Position } from '../site-map/index.ts';
import type { PlacedControl, PosedSpill, SpillLitres, SpillQuestion } from '../spill/index.ts';

/** Somebody who can place controls: one pair of hands, that does one thing after the other. */
export interface Hand {
  /** The id of a crew post, `here` for someone at the spill, or what a position was written as. */
  id: string;
  position: Position;
  /** Minutes from now until they set out; left out, 0.5 for `here`, 2 for a crew. */
  startMinutes?: number;
  /** May place what only trained people may; left out, what the map says of the crew post, else no. */
  isTrained?: boolean;
}

/**
 * Who went to a place, as a planned control tells them: that hand stands there now, free at once, and need not walk again
 * to the kit it has been to. Left out, hands stand where they are said to stand.
 */
export interface Doer {
  hand?: string | null;
  kit?: string | null;
}

/** A spill, and who can do something about it. */
export interface BlockQuestion extends SpillQuestion {
  /**
   * Who can place controls; left out, someone at the spill and the map's crew posts. Where nobody is named and the map
   * has neither crews nor kits, time is not counted.
   */
  hands?: readonly Hand[];
  /** Minutes before the first drop that a single control must be in place to count as in time; left out, 2. */
  marginMinutes?: number;
  /** What was placed already, `minutes` counted from the start of the release. The plan is for what is left. */
  placed?: readonly (Pick<PlacedControl, 'at' | 'control' | 'minutes'> & Doer)[];
  /** What turned out not to be possible. */
  ruledOut?: readonly ({ at: string; control: Control; minutes?: number } & Doer)[];
  /** The day on which it happens, ISO; left out, the newest date in the map. A valve turned within a year is quick. */
  on?: string;
}

/** One control of a plan, by one hand, in the order in which they are in place. */
export interface PlannedControl {
  /** The structure; for a berm or an absorbent the zone; for a device its own id. */
  at: string;
  control: Control;
  /** In the site's currency. */
  cost: number;
  /** Minutes from now until oil can first be there, 0 where it can be already; null where it never gets there that way. */
  oilMinutes: number | null;
  /** Minutes from now until its hand has it in place; null while time is not counted. */
  crewMinutes: number | null;
  /** The kit it is fetched from on the way; null where it needs none, or kits are not on the map. */
  kit: string | null;
  /** Who places it; null while time is not counted. */
  hand: string | null;
  /** Litres more that get past without this one control, all others of the plan in place: what it is worth. */
  keepsLitres: number;
  /** What it takes: only trained people, from above; a second hand; or null. */
  needs: 'trained' | null;
  /** Minutes of setting up that were counted, and whether they are only a default. */
  minutes: number;
  isDefaultTime: boolean;
}

/** How far a plan may be from the best there is; all 0: it is proved. Litres, and money in the site's currency. */
export interface PlanGap {
  toWater: number;
  toPublicDrain: number;
  pastGrates: number;
  money: number;
}

/** Controls to place, what they keep, and what is left to clean. Costs are in the site's currency. */
export interface BlockPlan {
  /** In the order in which they are in place. */
  controls: PlannedControl[];
  /** Why nothing is to be placed, or no more than a first step; else null. */
  why: Told | null;
  controlCost: number;
  cleanupCost: number;
  totalCost: number;
  /** What the prices being guesses makes of the total: low and high. */
  costRange: { low: number; high: number };
  /** Where the oil is in the end, with the plan carried out. */
  litres: SpillLitres;
  /** Litres that get past the spill's own grates all the same. */
  pastGrates: number;
  /** Structures and links that oil gets into all the same. */
  fouled: string[];
  /** Outfalls and public structures among them. */
  waters: string[];
  gap: PlanGap;
}

/** What one control does when it is the only one. Costs are in the site's currency. */
export interface SingleControl {
  at: string;
  control: Control;
  cost: number;
  totalCost: number;
  /** What it saves against doing nothing; below 0 where it costs more than it saves. */
  saves: number;
  oilMinutes: number | null;
  /** Minutes until the first hand that can has it in place; null while time is not counted, or nobody can. */
  crewMinutes: number | null;
  /** Litres less past it than if nothing is done: at the spill's own ground and grates past those, elsewhere past the place. */
  keepsLitres: number;
  spareMinutes: number | null;
  /** Whether a kit has one, as far as kits are on the map. */
  inStock: boolean;
  /** Whether it is in place before the first drop, with the margin; true while time is not counted. A fact, no condition. */
  inTime: boolean;
  needs: 'trained' | null;
  /** Outfalls and public structures that oil gets to all the same. */
  waters: string[];
}

/** Closing an outlet fills the yard above it. */
export interface BackingUp {
  /** The structure whose outlet is closed by the plan. */
  at: string;
  /** Minutes after the closing until water stands at the lowest grate, at this rain; null in dry weather or where it never does. */
  minutes: number | null;
  /** Where it comes out first. */
  floods: string | null;
  /** What the volume rests on: rims and inverts, or only pipes and sumps. */
  from: 'levels' | 'pipes';
}

/** Where things stand. */
export type SpillState =
  /** Go on with the plan. */
  | 'running'
  /** What is placed holds: nothing more gets past. Somebody must watch it. */
  | 'held'
  /** Nothing that is left to place keeps anything; oil still gets past, or may: hand over to those who were called. */
  | 'hand-over';

/** What `block` answers. */
export interface BlockAnswer {
  /** The zone whose ground the spill is on; null outside every zone. */
  zone: string | null;
  /** The structures it drains into first; empty when nothing drains from there. */
  inlets: string[];
  fluid: Fluid | null;
  /** The spill with everything that was filled in: fluid, minutes, litres. */
  spill: Omit<PosedSpill, 'start'>;
  plan: BlockPlan;
  state: SpillState;
  /** What happens if nothing (more) is done. */
  doNothing: { cost: number; litres: SpillLitres; pastGrates: number; waters: string[] };
  doNothingCost: number;
  /** Every control alone, most worth first: those that keep a step on the spill's own ground, then by litres, then money. */
  singles: SingleControl[];
  /** Whether a crew's minutes are counted, and how many of each control the kits hold. */
  isTimed: boolean;
  marginMinutes: number;
  hands: { id: string; position: Position; startMinutes: number; isTrained: boolean }[];
  backingUp: BackingUp[];
  /** What the fluid calls for, ahead of everything; the usual cautions; what to see to while placing; what is assumed. */
  advice: Told[];
  cautions: Told[];
  whilePlacing: Told[];
  assumed: Told[];
}
