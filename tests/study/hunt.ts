/**
 * The hunt for one source with perfect answers: suspects (zones that no lid tells apart count as one) and lids, each
 * with the suspects whose oil passes it. Sets of suspects are bits of one number, so there are at most 30.
 */
export interface Hunt {
  /** Chance of each suspect; they add up to 1. */
  chance: number[];
  /** How many zones each suspect stands for. */
  zones: number[];
  lids: HuntLid[];
  /** Lids met first on the way up from the point. */
  firstUp: number[];
}

export interface HuntLid {
  at: string;
  /** The suspects whose oil passes here. */
  above: number;
  /** Lids met next on the way up from here. */
  nextUp: number[];
}

/** What was learned so far. */
export interface Known {
  /** Suspects that agree with all answers. */
  suspects: number;
  opened: ReadonlySet<number>;
  /** The last lid that said oil; null before any did. */
  lastOily: number | null;
}

/** Chooses the lid to open next. It is asked only while two suspects or more are left. */
export type Policy = (known: Known) => number;

export const everyone = ({ chance }: Hunt) => 2 ** chance.length - 1;

/** The suspects in a set, as numbers. */
export function members(set: number): number[] {
  const found: number[] = [];
  for (let at = 0; set >> at !== 0; at++) if ((set >> at) & 1) found.push(at);
  return found;
}

export const isOne = (set: number) => (set & (set - 1)) === 0;

/** Whether either answer at this lid would leave fewer suspects. */
const splits = (above: number, set: number) => (set & above) !== 0 && (set & ~above) !== 0;

/** Entropy of the suspects' chances, in bits: no way of asking yes or no needs fewer questions on average. */
export function entropyBits({ chance }: Hunt): number {
  return chance.reduce((sum, part) => sum - (part > 0 ? part * Math.log2(part) : 0), 0);
}

/**
 * The least possible mean number of lids, by dynamic programme over sets of suspects, with the lid that reaches it for
 * every set that can come up. Each answer is right. O(sets that can come up × lids), at worst 2^suspects × lids.
 */
export function bestHunt(hunt: Hunt): { lids: number; policy: Policy } {
  const { chance, lids } = hunt;
  const weigh = (set: number) => members(set).reduce((sum, each) => sum + chance[each], 0);
  const known = new Map<number, { lids: number; lid: number }>();
  /** Mean number of lids × the set's chance, so that sets of no chance do no harm. */
  const best = (set: number): { lids: number; lid: number } => {
    if (isOne(set)) return { lids: 0, lid: -1 };
    const found = known.get(set);
    if (found) return found;
    let least = { lids: Number.POSITIVE_INFINITY, lid: -1 };
    lids.forEach(({ above }, lid) => {
      if (!splits(above, set)) return;
      const after = weigh(set) + best(set & above).lids + best(set & ~above).lids;
      if (after < least.lids) least = { lids: after, lid };
    });
    known.set(set, least);
    return least;
  };
  const all = everyone(hunt);
  return { lids: best(all).lids / weigh(all), policy: ({ suspects }) => best(suspects).lid };
}

/** Opens the lid that comes nearest to halving the number of zones left; the first on the map among equals. */
export function halving({ lids, zones }: Hunt): Policy {
  const count = (set: number) => members(set).reduce((sum, each) => sum + zones[each], 0);
  return ({ suspects }) => {
    let [least, found] = [Number.POSITIVE_INFINITY, -1];
    lids.forEach(({ above }, lid) => {
      if (!splits(above, suspects)) return;
      const off = Math.abs(2 * count(suspects & above) - count(suspects));
      if (off < least) [least, found] = [off, lid];
    });
    return found;
  };
}

/**
 * Walks up from the point: at each place the branches are tried in the map's order until one says oil. A lid whose
 * answer follows from earlier ones is passed unopened, which a real walk would not always do.
 */
export function walkingUp({ lids, firstUp }: Hunt): Policy {
  return ({ suspects, opened, lastOily }) => {
    const passed = new Set<number>();
    let ways = lastOily === null ? firstUp : lids[lastOily].nextUp;
    for (;;) {
      const next = ways.find((lid) => !opened.has(lid) && splits(lids[lid].above, suspects));
      if (next !== undefined) return next;
      const implied = ways.find((lid) => !passed.has(lid) && (suspects & ~lids[lid].above) === 0);
      if (implied === undefined) return lids.findIndex(({ above }) => splits(above, suspects));
      passed.add(implied);
      ways = lids[implied].nextUp;
    }
  };
}

/** What is left once a lid has said oil or clean; an answer that would leave nobody changes nothing. */
export function narrowed(suspects: number, { above }: HuntLid, saysOil: boolean): number {
  const left = saysOil ? suspects & above : suspects & ~above;
  return left === 0 ? suspects : left;
}

/** Opens lids by a policy until one suspect is left. `saysOil` is what each lid would say. */
export function play(hunt: Hunt, policy: Policy, saysOil: readonly boolean[]): { lids: number; suspect: number } {
  const opened = new Set<number>();
  let [suspects, lastOily]: [number, number | null] = [everyone(hunt), null];
  while (!isOne(suspects)) {
    const lid = policy({ suspects, opened, lastOily });
    suspects = narrowed(suspects, hunt.lids[lid], saysOil[lid]);
    opened.add(lid);
    if (saysOil[lid]) lastOily = lid;
  }
  return { lids: opened.size, suspect: members(suspects)[0] };
}
