import type { Choice, Chosen } from './choice.ts';
import type { Crew } from './hands.ts';
import { bestPlan, isSame, type Step, type Tried } from './search.ts';
import type { Alone } from './singles.ts';
import type { Situation } from './situation.ts';
import { triedRun } from './tried.ts';
import { compareOutcomes, type Steps, wholeSteps } from './value.ts';
import type { Hands } from './who.ts';

/** Controls that a plan is searched among: more are cut to those that keep most alone. */
const MOST_OFFERS = 24;
/** Outcomes that a search looks at: work is counted, so the same spill gives the same plan. */
const MOST_TRIED = 1_500;
/** Money that a better plan has to save before it is looked for. */
const SLACK = { money: 50, share: 0.02 };

/** A control that could be a part of the plan, with what it leaves as the only one. */
interface Candidate extends Alone {
  tried: Tried;
}

/** The plan of these hands: the best there is, but for what likely nothing gets past the grate: then a first step is enough. */
export function timedPlan(situation: Situation, hands: Hands): Choice {
  const { crew, steps } = situation;
  const nothing = triedRun(situation.model, situation.nothing.sure, situation.cleanUpAfter);
  const all = candidatesOf(situation, nothing);
  const best = all.length > MOST_OFFERS ? bestAlone(all, { nothing, steps }).slice(0, MOST_OFFERS) : all;
  const reduced: Crew = { ...crew, offers: best.map(({ offer }) => offer) };
  const first = [...best.keys()].filter((at) => best[at].offer.isOwn && keepsStep(best[at], nothing, steps));
  const found = bestPlan({ crew: reduced, nothing, steps, first, mostTried: MOST_TRIED, slack: SLACK });
  const [toWater, toPublicDrain, pastGrates] = found.gap.litres;
  const chosen = found.steps.map((step) => chosenBy(reduced, hands, step));
  const choice: Choice = {
    chosen,
    why: null,
    state: 'running',
    gap: { toWater, toPublicDrain, pastGrates, money: found.gap.money },
    bestOf: best.length < all.length ? { places: all.length, best: best.length } : null,
  };
  return choice;
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

/** The most worth first, each as the only one: those that keep a step on the spill's own ground before all others. */
function bestAlone(
  candidates: readonly Candidate[],
  { nothing, steps }: { nothing: Tried; steps: Steps },
): Candidate[] {
  const isFirst = (each: Candidate) => (each.offer.isOwn && keepsStep(each, nothing, steps) ? 1 : 0);
  return [...candidates].sort((a, b) => isFirst(b) - isFirst(a) || compareOutcomes(a.tried, b.tried, steps));
}

const chosenBy = ({ offers, kits }: Crew, hands: Hands, { offer, minutes, hand, kit }: Step): Chosen => ({
  offer: offers[offer],
  minutes,
  hand: hands[hand].id,
  kit: kits[kit]?.id ?? null,
});
