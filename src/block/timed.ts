import { told } from '../catalogue/index.ts';
import { DEVICE_CONTROLS } from '../site-map/index.ts';
import type { PlacedControl } from '../spill/index.ts';
import type { Choice, Chosen } from './choice.ts';
import { CLEAN_LITRES } from './clean-up.ts';
import { afterStep, type Crew, type State, type Step, soonestStep } from './hands.ts';
import { polish, worthSending } from './polish.ts';
import { bestPlan, type Found, isSame, type Tried } from './search.ts';
import type { Alone } from './singles.ts';
import type { Situation } from './situation.ts';
import { triedRun } from './tried.ts';
import { compareOutcomes, leastStep, type Steps, wholeSteps } from './value.ts';
import type { Hands } from './who.ts';

/** Controls that a plan is searched among: more are cut to those that keep most alone. */
const MOST_OFFERS = 24;
/** Outcomes that a search looks at: work is counted, so the same spill gives the same plan. */
const MOST_TRIED = 1_500;
const MOST_FOR_MONEY = 300;
/** Money that a better plan has to save before it is looked for. */
const SLACK = { money: 50, share: 0.02 };

/** A control that could be a part of the plan, with what it leaves as the only one. */
interface Candidate extends Alone {
  tried: Tried;
}

/** The plan of these hands: the best there is, but where likely nothing gets past the grate: there a first step is enough. */
export function timedPlan(situation: Situation, hands: Hands): Choice {
  const { steps } = situation;
  const nothing = triedRun(situation.model, situation.nothing.sure, situation.cleanUpAfter);
  const all = candidatesOf(situation, nothing);
  const stop = stopOf(all, { nothing, steps });
  const best = all.length > MOST_OFFERS ? bestAlone(all, { nothing, steps, stop }).slice(0, MOST_OFFERS) : all;
  const crew: Crew = { ...situation.crew, offers: best.map(({ offer }) => offer) };
  const first = firstOf(best, { nothing, steps });
  const start = { standings: crew.starts, stock: crew.stock };
  const facts = { crew, nothing, steps, first, source: stop ? soonestStep(crew, start, best.indexOf(stop)) : null };
  const found = bestPlan({ ...facts, mostTried: MOST_TRIED, mostForMoney: MOST_FOR_MONEY, slack: SLACK });
  const choice = (placed: readonly Step[]): Choice => ({
    chosen: placed.map((step) => chosenBy(crew, hands, step)),
    ...{ why: null, state: 'running', gap: gapOf(found) },
    bestOf: best.length < all.length ? { places: all.length, best: best.length } : null,
  });
  const plan = worthSending(polish(found, facts).steps, facts, likelyIn(situation, nothing));
  if (situation.model.posed.rainMmPerH > 0 || situation.nothing.likely.pastGrates > CLEAN_LITRES) return choice(plan);
  const enough = firstSteps(crew, plan, situation.placed);
  return enough.length > 0
    ? { ...choice(enough), why: told('block.why-dry') }
    : { ...choice([]), why: told('block.why-held'), state: 'held' };
}

/** What happens if nothing is done, as it will likely be; where likely not even a step gets past the grates, as it may be. */
function likelyIn({ model, nothing: { likely }, steps, cleanUpAfter }: Situation, nothing: Tried): Tried {
  if (likely.pastGrates < leastStep(steps)) return nothing;
  return triedRun(model, likely, cleanUpAfter, { countsGround: true });
}

/** What stops the source soonest, where that still keeps a step from anything; null where nothing does. */
function stopOf(
  candidates: readonly Candidate[],
  { nothing, steps }: { nothing: Tried; steps: Steps },
): Candidate | null {
  const step = leastStep(steps);
  return candidates
    .filter(
      ({ offer, tried }) =>
        offer.control === 'fuel-stop' && tried.litres.some((litres, level) => nothing.litres[level] - litres >= step),
    )
    .reduce<Candidate | null>((soonest, each) => (soonest && soonest.minutes <= each.minutes ? soonest : each), null);
}

/**
 * What has to come first: where something at the source, on the spill's own ground or at its grates still keeps a step past
 * them, one of those, or a device, which takes no walk to a kit. Elsewhere anything may.
 */
function firstOf(candidates: readonly Candidate[], { nothing, steps }: { nothing: Tried; steps: Steps }): number[] {
  const own = [...candidates.keys()].filter((at) => {
    const each = candidates[at];
    return each.offer.isOwn && keepsStep(each, nothing, steps);
  });
  const devices = [...candidates.keys()].filter((at) =>
    DEVICE_CONTROLS.some((each) => each === candidates[at].offer.control),
  );
  return own.length > 0 ? [...new Set([...own, ...devices])] : [];
}

function gapOf({ gap: { litres, money } }: Found): Choice['gap'] {
  const [toWater, toPublicDrain, pastGrates] = litres;
  return { toWater, toPublicDrain, pastGrates, money };
}

/**
 * Where likely nothing gets past the grate: absorbent on the ground, and the plan's first step, if nothing like it is placed
 * already; that is counted no sooner, unless it is a device.
 */
function firstSteps(crew: Crew, plan: readonly Step[], placed: readonly PlacedControl[]): Step[] {
  const { offers } = crew;
  const isDone = placed.some(({ control }) => control !== 'absorb');
  const stops = plan.filter(({ offer }) => offers[offer].control === 'fuel-stop');
  const first = isDone ? [] : [...stops, ...plan].slice(0, 1).map(({ offer }) => offer);
  const absorb = [...offers.keys()].filter((at) => offers[at].control === 'absorb' && !first.includes(at));
  const inOrder = first.some((at) => !offers[at].isFromKit) ? [...first, ...absorb] : [...absorb, ...first];
  let state: State = { standings: crew.starts, stock: crew.stock };
  let last = Number.NEGATIVE_INFINITY;
  return inOrder.flatMap((offer): Step[] => {
    const soonest = soonestStep(crew, state, offer);
    if (!soonest) return [];
    const step = { ...soonest, minutes: Math.max(last, soonest.minutes) };
    last = step.minutes;
    state = afterStep(crew, state, step);
    return [step];
  });
}

/** Controls that somebody can place and that keep something then. */
function candidatesOf({ alone }: Situation, nothing: Tried): Candidate[] {
  const able = alone.filter(({ minutes }) => Number.isFinite(minutes));
  // Where one may send oil elsewhere, another that keeps nothing now may keep some then.
  const canTurn = able.some(({ offer }) => offer.atBest.control !== offer.control);
  return able
    .map((each) => ({ ...each, tried: nothing.with(each.offer, each.minutes) }))
    .filter(({ tried }) => canTurn || !isSame(tried, nothing));
}

const keepsStep = ({ tried }: Candidate, nothing: Tried, steps: Steps) =>
  wholeSteps(nothing.litres[2] - tried.litres[2], steps[2]) > 0;

/** The most worth first, each as the only one: what stops the source, those that keep a step on the spill's own ground before all others. */
function bestAlone(
  candidates: readonly Candidate[],
  { nothing, steps, stop }: { nothing: Tried; steps: Steps; stop: Candidate | null },
): Candidate[] {
  const isFirst = (each: Candidate) =>
    each === stop ? 2 : each.offer.isOwn && keepsStep(each, nothing, steps) ? 1 : 0;
  return [...candidates].sort((a, b) => isFirst(b) - isFirst(a) || compareOutcomes(a.tried, b.tried, steps));
}

const chosenBy = ({ offers, kits }: Crew, hands: Hands, { offer, minutes, hand, kit }: Step): Chosen => ({
  offer: offers[offer],
  minutes,
  hand: hands[hand].id,
  kit: kits[kit]?.id ?? null,
});
