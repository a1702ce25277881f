import { afterStep, type Crew, legsTo, type State, type Step, soonestStep, wantedBy, worthTrying } from './hands.ts';
import type { Offer } from './offers.ts';
import { compareLitres, compareOutcomes, type Outcome, type Steps, wholeSteps } from './value.ts';

/** What some controls in place leave, ready to be asked what one more would. */
export interface Tried extends Outcome {
  /** The same money, clean-up at the lowest prices that are likely. */
  leastMoney: number;
  /** Litres that controls keep. */
  kept(): number;
  /** Litres that get into anything, summed over all places: a control that keeps nothing leaves it as it is. */
  everywhere(): number;
  /** With one control more, or with several. */
  with(offer: Offer, minutes: number): Tried;
  withAll(more: readonly { offer: Offer; minutes: number }[]): Tried;
  /** At best: with these too, each of them as what keeps at least as much. Without what they cost. */
  atBest(more: readonly { offer: Offer; minutes: number }[]): Outcome;
}

export interface SearchFacts {
  crew: Crew;
  /** What is left if nothing (more) is placed. */
  nothing: Tried;
  steps: Steps;
  /**
   * What stops the source, by whoever can soonest: a part of every plan. Until then others place only what is on the
   * spill's own ground or at its grates. Null: nothing does.
   */
  source: Step | null;
  /** Offers one of which has to be the first to be in place where there is no source to stop; empty: any may be. */
  first: readonly number[];
  /** Outcomes that are looked at before the search gives up, and before it no longer looks for what only saves money. */
  mostTried: number;
  mostForMoney: number;
  /** Money by which a plan may be over the best one: as a least sum, and as a part of its own. */
  slack: { money: number; share: number };
}

/** The best plan that was found, and how far the best there is may be from it. */
export interface Found {
  steps: readonly Step[];
  outcome: Tried;
  gap: { litres: [number, number, number]; money: number };
  tried: number;
}

/** A begun plan. */
interface Begun {
  /** Without what stops the source. */
  steps: readonly Step[];
  tried: Tried;
  state: State;
  left: readonly number[];
}

interface Search extends SearchFacts {
  /** Whether some control sends oil where else it would not come: then one that keeps nothing yet may do so later. */
  canTurn: boolean;
  count: number;
  best: { steps: readonly Step[]; tried: Tried };
  /** The least that any plan can come to that was not looked at. */
  open: Outcome | null;
}

/**
 * The best plan: controls placed by these hands one after the other, in the order in which they are in place. Branch and
 * bound: a begun plan is given up where all other controls together, each in place as soon as any hand could have it
 * there, would not make it better than the best plan so far. Since a control more, or sooner, never lets more oil
 * through, that is a bound. Money within the slack is not looked for. Exact within that, until `mostTried` outcomes were looked at; `gap`
 * then tells how far off the plan may be at most. Ways on foot must not be shorter with a stop than without.
 */
export function bestPlan(facts: SearchFacts): Found {
  const { crew, source } = facts;
  const canTurn = crew.offers.some(({ control, atBest }) => atBest.control !== control);
  const begun = begunWith(facts);
  const search: Search = { ...facts, canTurn, count: 0, best: { steps: [], tried: begun.tried }, open: null };
  const bound = boundOf(search, begun);
  if (canBeat(search, bound)) branch(search, begun, bound);
  else leaveOpen(search, bound);
  const { steps, tried } = search.best;
  return { steps: inOrder(source, steps), outcome: tried, gap: gapOf(search), tried: search.count };
}

/** Before anything is chosen: nothing, or the source stopped. */
export function begunWith({ crew, nothing, source }: Pick<SearchFacts, 'crew' | 'nothing' | 'source'>): Begun {
  const state: State = { standings: crew.starts, stock: crew.stock };
  const left = [...crew.offers.keys()];
  if (!source) return { steps: [], tried: nothing, state, left };
  return {
    steps: [],
    tried: nothing.with(crew.offers[source.offer], source.minutes),
    state: afterStep(crew, state, source),
    left: left.filter((each) => each !== source.offer),
  };
}

/** All steps in the order in which they are in place, what stops the source among them. */
export const inOrder = (source: Step | null, steps: readonly Step[]): Step[] =>
  source ? [source, ...steps].sort((a, b) => a.minutes - b.minutes) : [...steps];

/** The minute no sooner than which something counts as in place: what has to come first is waited for by all others. */
export function leastMinutes(
  { source, first, crew }: Pick<SearchFacts, 'source' | 'first' | 'crew'>,
  offer: number,
  steps: readonly Step[],
): number {
  if (source) return crew.offers[offer].isOwn ? Number.NEGATIVE_INFINITY : source.minutes;
  return first.length > 0 && steps.length > 0 ? steps[0].minutes : Number.NEGATIVE_INFINITY;
}

/** Looks at every way to go on with a begun plan, the best next control first. */
function branch(search: Search, begun: Begun, bound: Outcome): void {
  const next: Begun[] = [];
  for (const each of stepsFrom(search, begun)) {
    if (search.count >= search.mostTried) {
      leaveOpen(search, bound);
      break;
    }
    const after = withStep(search, begun, each);
    if (after) next.push(after);
  }
  next.sort((a, b) => compareOutcomes(a.tried, b.tried, search.steps) || lastOf(a).minutes - lastOf(b).minutes);
  for (const each of next) {
    if (compareOutcomes(each.tried, search.best.tried, search.steps) < 0)
      search.best = { steps: each.steps, tried: each.tried };
  }
  for (const each of next) {
    if (search.count >= search.mostTried) {
      leaveOpen(search, bound);
      return;
    }
    const least = boundOf(search, each);
    if (canBeat(search, least)) branch(search, each, least);
    else leaveOpen(search, least);
  }
}

const lastOf = ({ steps }: Begun) => steps[steps.length - 1];

/** Every step that may come next: in place no sooner than what is placed already. */
function stepsFrom(search: Search, { steps, state: { standings, stock }, left }: Begun): Step[] {
  const { crew, first, source } = search;
  const wanted = wantedBy(left.map((offer) => crew.offers[offer]));
  const last = steps.length > 0 ? steps[steps.length - 1].minutes : Number.NEGATIVE_INFINITY;
  const allowed = !source && steps.length === 0 && first.length > 0 ? first : left;
  return allowed.flatMap((offer) => {
    const least = leastMinutes(search, offer, steps);
    return standings.flatMap((standing, hand) => {
      const legs = legsTo(crew, { standing, isTrained: crew.starts[hand].isTrained, stock }, crew.offers[offer]);
      return worthTrying(legs, crew, { stock, wanted }).flatMap(({ minutes, kit }): Step[] => {
        const done = Math.max(minutes, least);
        return done < last ? [] : [{ offer, hand, kit, minutes: done }];
      });
    });
  });
}

/** The plan with one step more; null where that keeps nothing, since then it never will. */
function withStep(search: Search, { steps, tried, state, left }: Begun, step: Step): Begun | null {
  const { crew } = search;
  const offer = crew.offers[step.offer];
  search.count++;
  const after = tried.with(offer, step.minutes);
  if (!search.canTurn && isSame(after, tried)) return null;
  return {
    steps: [...steps, step],
    tried: after,
    state: afterStep(crew, state, step),
    left: left.filter((each) => each !== step.offer),
  };
}

/** Whether a control more has kept nothing. */
export const isSame = (a: Tried, b: Tried): boolean =>
  a.litres.every((litres, level) => litres === b.litres[level]) && a.everywhere() === b.everywhere();

/** What the best plan that begins like this leaves at least. */
function boundOf(search: Search, { tried, state, left, steps }: Begun): Outcome {
  const { crew } = search;
  search.count++;
  const last = steps.length > 0 ? steps[steps.length - 1].minutes : 0;
  const more = left.flatMap((number) => {
    const offer = crew.offers[number];
    const step = soonestStep(crew, state, number);
    return step ? [{ offer, minutes: Math.max(step.minutes, last) }] : [];
  });
  const least = tried.atBest(more);
  // As long as the litres of the best plan are not reached, at least one more control has to be paid.
  if (compareLitres(tried.litres, search.best.tried.litres, search.steps) <= 0) return least;
  const cheapest = more.reduce((cost, { offer }) => Math.min(cost, offer.cost), Number.POSITIVE_INFINITY);
  return Number.isFinite(cheapest) ? { ...least, money: least.money + cheapest } : least;
}

/** Whether a plan that leaves at least this can be better than the best so far by more than the slack. */
function canBeat({ best, steps, slack, count, mostForMoney }: Search, bound: Outcome): boolean {
  const byLitres = compareLitres(bound.litres, best.tried.litres, steps);
  if (byLitres !== 0) return byLitres < 0;
  if (count >= mostForMoney) return false;
  return bound.money < best.tried.money - Math.max(slack.money, slack.share * best.tried.money);
}

function leaveOpen(search: Search, bound: Outcome): void {
  if (!search.open || compareOutcomes(bound, search.open, search.steps) < 0) search.open = bound;
}

/** How far the plan may be off: litres by whole steps, and money where the litres are the same. */
function gapOf({ best: { tried }, open, steps }: Search): Found['gap'] {
  const gap: Found['gap'] = { litres: [0, 0, 0], money: 0 };
  if (!open || compareOutcomes(open, tried, steps) >= 0) return gap;
  const level = ([0, 1, 2] as const).find(
    (each) => wholeSteps(open.litres[each], steps[each]) < wholeSteps(tried.litres[each], steps[each]),
  );
  if (compareLitres(open.litres, tried.litres, steps) === 0 || level === undefined)
    return { ...gap, money: tried.money - open.money };
  for (const each of [0, 1, 2] as const)
    if (each >= level) gap.litres[each] = Math.max(0, tried.litres[each] - open.litres[each]);
  return gap;
}
