import { TimeQueue } from '../algorithms/index.ts';
import {
  type Choice,
  type Containment,
  cheapestContainment,
  containmentWith,
  type Gate,
  type SpillNetwork,
  withOnly,
} from './containment.ts';
import type { Placed } from './crew.ts';

/**
 * What can be done at all, and together. The plan is exact only if a part of what can be done together can be done too:
 * a crew with less to place is never later, as long as leaving out a stop makes no walk longer.
 */
export interface Means {
  /** Whether a control, alone, can be in place before the oil. */
  isUsable(choice: Choice): boolean;
  /** An order in which these can all be placed in time with what there is; null where there is none. */
  orderFor(gates: readonly Gate[]): Placed[] | null;
}

/** The plan of least cost that can be carried out. */
export interface CheapestPlan {
  containment: Containment;
  placed: Placed[];
  /** 0 where it is proved to be the best; else by how much of its weight it may be over it. */
  gap: number;
}

/**
 * Minimum cuts that are tried before the best plan so far is taken: work is counted, so the same spill gives the same
 * plan.
 */
const MOST_CUTS = 2_000;

/**
 * The cheapest plan that one crew can carry out in time with what the kits hold. A minimum cut over the controls that
 * can be had is the best of all; where they cannot all be placed together, at least one of the smallest set that cannot
 * must be left out: each is left out in turn, and the cheapest cut that can be carried out is the answer. Exact, since
 * leaving out only makes cuts dearer, within 2,000 cuts; after that `gap` says how far it may be off. Doing nothing
 * always can be done, so there is always an answer, with no controls where nothing in time pays.
 *
 * Why it is exact. Each plan that can be carried out lacks at least one control of any set that cannot be placed
 * together, so the branches that leave out one each have all such plans between them, and nothing is lost. The cut of a
 * branch uses every control it still has, whether or not they can be placed together, so it weighs no more than any
 * plan of the branch: it is a bound. Branches are taken up by their bounds, least first. The first one whose cut can
 * itself be carried out is a plan that weighs no more than the bound of any branch still open, which is the proof.
 *
 * How the gap is proved when the cuts run out: the branch taken up last had the least bound of all that were open, so
 * no plan weighs less than it, and the best plan so far is over the true best by no more than the part told. The parts
 * are of `weight`, in which waters count, and not of plain money.
 *
 * Not to be trusted to the last step where the search for an order gave up after its 20,000 steps (a "no" that may have
 * been a "yes"), and where places stand inside buildings, through which a way with a stop can be shorter than one
 * without. At most 2,000 minimum cuts and a handful more, each with searches for an order.
 */
export function cheapestPlan(spill: SpillNetwork, means: Means): CheapestPlan {
  const nothing = containmentWith(spill, []);
  let best: CheapestPlan = { containment: nothing, placed: [], gap: 0 };
  const plans: { left: ReadonlySet<Gate>; containment: Containment }[] = [];
  const queue = new TimeQueue();
  const seen = new Set<string>();
  let cuts = 0;
  // The same controls can be left out in another order: one branch is enough.
  const open = (left: ReadonlySet<Gate>) => {
    const key = spill.choices.flatMap(({ gate }, at) => (left.has(gate) ? [at] : [])).join();
    if (seen.has(key)) return;
    seen.add(key);
    cuts++;
    const containment = cheapestContainment(
      withOnly(spill, (choice) => !left.has(choice.gate) && means.isUsable(choice)),
    );
    queue.push(plans.push({ left, containment }) - 1, containment.weight);
  };
  open(new Set());
  for (let next = queue.pop(); next; next = queue.pop()) {
    const { left, containment } = plans[next.item];
    // No open branch can beat what is in hand.
    if (containment.weight >= best.containment.weight) return best;
    const placed = means.orderFor(containment.controls);
    if (placed) return { containment, placed, gap: 0 };
    // A part of the cut can be carried out: what that leads to is a plan, though perhaps not the best.
    const part = asManyAsCan(containment.controls, means);
    const reached = containmentWith(
      spill,
      choicesOf(
        spill,
        part.map(({ gate }) => gate),
      ),
    );
    if (reached.weight < best.containment.weight) best = { containment: reached, placed: part, gap: 0 };
    if (cuts >= MOST_CUTS) {
      return { ...best, gap: 1 - containment.weight / best.containment.weight };
    }
    for (const gate of cannotTogether(containment.controls, means)) open(new Set([...left, gate]));
  }
  return best;
}

/** The choices that are these gates. */
export function choicesOf({ choices }: SpillNetwork, gates: readonly Gate[]): Choice[] {
  return choices.filter(({ gate }) => gates.includes(gate));
}

/**
 * A smallest set of these that cannot be placed together: without any one of it the rest can. Each control is tried
 * left out once; it goes if the rest still cannot be placed. Smallest means that nothing of it can be spared, not that
 * no other set is smaller; the smaller the set, the fewer branches. One search for an order for each control.
 */
function cannotTogether(gates: readonly Gate[], { orderFor }: Means): Gate[] {
  let kept = [...gates];
  for (const gate of gates) {
    const rest = kept.filter((each) => each !== gate);
    if (rest.length > 0 && orderFor(rest) === null) kept = rest;
  }
  return kept;
}

/** As many as can be placed, those that the oil gets to first coming first. */
function asManyAsCan(gates: readonly Gate[], { orderFor }: Means): Placed[] {
  let placed: Placed[] = [];
  for (const gate of gates) placed = orderFor([...placed.map((each) => each.gate), gate]) ?? placed;
  return placed;
}
