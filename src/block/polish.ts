import { afterStep, type Step, soonestStep } from './hands.ts';
import type { Offer } from './offers.ts';
import { begunWith, inOrder, leastMinutes, type SearchFacts, type Tried } from './search.ts';
import { compareOutcomes, leastStep, type Steps } from './value.ts';

/** Plans that are tried out before the one in hand is taken. */
const MOST_POLISHED = 150;
/** Litres and minutes that differ by less are the same. */
const ALIKE = 1e-6;
/** What stands first among equals: the source, then the grate, then the ground, then the next line. */
const TRADES_ORDER = ['fuel-stop', 'pump-switch', 'diverter', 'sock', 'cover', 'absorb', 'berm'];

/** A plan, and what it leaves. */
interface Plan {
  steps: readonly Step[];
  outcome: Tried;
}

export type PolishFacts = Pick<SearchFacts, 'crew' | 'nothing' | 'steps' | 'source' | 'first'>;

/**
 * Of plans that are worth the same, one that keeps most on the ground, begins in the trade's order, and has its controls
 * in place soonest, those at the own grates before all: controls are left out, moved and swapped as long as that helps.
 * A plan that is worth more is taken too. O(controls² × hands) plans for each change.
 */
export function polish(plan: Plan, facts: PolishFacts): Plan {
  let best = plan;
  let left = MOST_POLISHED;
  for (let isBetter = true; isBetter && left > 0; ) {
    isBetter = false;
    for (const lists of changed(listsOf(best.steps, facts))) {
      if (left-- <= 0) break;
      const steps = scheduled(facts, lists);
      if (!steps) continue;
      const next = { steps, outcome: outcomeOf(steps, facts) };
      if (compare(next, best, facts) >= 0) continue;
      best = next;
      isBetter = true;
      break;
    }
  }
  return best;
}

/**
 * The plan without what nobody is to be sent for: a control stays where without it, all others as soon as they then can
 * be, a step more gets into water, into public drains or past the own grates; for money alone only where it keeps a step,
 * takes no trained people, and saves more than it costs even at the lowest prices that are likely. What stops the source
 * stays, and at the own grates and on the own ground nothing counts that the ground may keep; elsewhere litres are those that
 * are likely: `likely` is what happens if nothing is done. The last in place are asked first. O(controls²) plans.
 */
export function worthSending(
  steps: readonly Step[],
  facts: PolishFacts,
  likely: Tried,
  whole: Whole = { counted: outcomeOf(steps, facts), likely: outcomeOf(steps, { ...facts, nothing: likely }) },
): readonly Step[] {
  for (const { offer } of steps.toReversed()) {
    if (offer === facts.source?.offer) continue;
    const lists = listsOf(steps, facts).map((list) => list.filter((each) => each !== offer));
    const others = scheduled(facts, lists);
    if (!others) continue;
    const placed = facts.crew.offers[offer];
    const less = outcomeOf(others, placed.isOwn ? facts : { ...facts, nothing: likely });
    const outcome = placed.isOwn ? whole.counted : whole.likely;
    if (!isWorthIt(placed, { less, outcome }, facts.steps)) return worthSending(others, facts, likely, whole);
  }
  return steps;
}

/** What the plan came to before anything was left out of it: all that is left out together may cost no step. */
interface Whole {
  counted: Tried;
  likely: Tried;
}

function isWorthIt({ needs }: Offer, { less, outcome }: { less: Tried; outcome: Tried }, steps: Steps): boolean {
  const step = leastStep(steps);
  if (outcome.litres.some((litres, level) => less.litres[level] - litres >= step)) return true;
  return needs !== 'trained' && outcome.kept() - less.kept() >= step && outcome.leastMoney < less.leastMoney;
}

/** By hand, the offers that it places, in order. */
type Lists = readonly (readonly number[])[];

/** What stops the source stays as it is, so it is in no list. */
const listsOf = (steps: readonly Step[], { crew, source }: PolishFacts): Lists =>
  crew.starts.map((_, at) =>
    steps.filter(({ hand, offer }) => hand === at && offer !== source?.offer).map(({ offer }) => offer),
  );

/** Every list that is one change away: a control left out, put elsewhere, or swapped with another. */
function* changed(lists: Lists): Generator<Lists> {
  const all = lists.flat();
  const less = (gone: number) => lists.map((list) => list.filter((offer) => offer !== gone));
  for (const offer of all) yield less(offer);
  for (const offer of all)
    for (const [hand, list] of less(offer).entries())
      for (let at = 0; at <= list.length; at++)
        yield less(offer).map((each, other) => (other === hand ? each.toSpliced(at, 0, offer) : each));
  for (const [at, one] of all.entries())
    for (const other of all.slice(at + 1))
      yield lists.map((list) => list.map((offer) => (offer === one ? other : offer === other ? one : offer)));
}

/** When each hand has what it is to place in place, always by the kit that is soonest; null where it cannot be done. */
function scheduled(facts: PolishFacts, lists: Lists): Step[] | null {
  const { crew, first, source } = facts;
  const next = lists.map(() => 0);
  const steps: Step[] = [];
  let { state } = begunWith(facts);
  for (let count = lists.flat().length; count > 0; count--) {
    let soonest: Step | null = null;
    for (const [hand, list] of lists.entries()) {
      if (next[hand] >= list.length) continue;
      const offer = list[next[hand]];
      if (!source && steps.length === 0 && first.length > 0 && !first.includes(offer)) continue;
      const step = soonestStep(crew, state, offer, hand);
      if (!step) return null;
      const minutes = Math.max(step.minutes, leastMinutes(facts, offer, steps));
      if (!soonest || minutes < soonest.minutes) soonest = { ...step, minutes };
    }
    if (!soonest) return null;
    steps.push(soonest);
    state = afterStep(crew, state, soonest);
    next[soonest.hand]++;
  }
  return inOrder(source, steps);
}

const outcomeOf = (steps: readonly Step[], { nothing, crew }: PolishFacts): Tried =>
  nothing.withAll(steps.map(({ offer, minutes }) => ({ offer: crew.offers[offer], minutes })));

/** Below 0 where `a` is the better plan. */
function compare(a: Plan, b: Plan, { steps, crew }: PolishFacts): number {
  const byWorth = compareOutcomes(a.outcome, b.outcome, steps);
  if (byWorth !== 0) return byWorth;
  const [ofA, ofB] = [a, b].map((plan) => tieOf(plan, crew.offers));
  for (const [at, value] of ofA.entries()) if (Math.abs(value - ofB[at]) > ALIKE) return value - ofB[at];
  return 0;
}

function tieOf({ steps, outcome }: Plan, offers: readonly Offer[]): number[] {
  const sum = (list: readonly Step[]) => list.reduce((total, { minutes }) => total + minutes, 0);
  const rank = steps.length > 0 ? TRADES_ORDER.indexOf(offers[steps[0].offer].control) : -1;
  return [
    outcome.litres[2],
    rank < 0 ? TRADES_ORDER.length : rank,
    sum(steps.filter(({ offer }) => offers[offer].isOwn)),
    sum(steps),
  ];
}
