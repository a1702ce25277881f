import { logGammaDraw } from '../../../algorithms/index.ts';
import type { Trial } from './trial.ts';

/*
 * Moves of litres alone: shapes and θ stay as they are. They work in ln litres, so that a shape of 0.001 does not underflow:
 * of a gamma with that shape half of the draws are below 2^(−1000) of its scale, near the least number there is.
 */

/** Standard deviation of the common step in ln litres. A matter of speed alone. */
const SCALE_STEP = 0.5;

/**
 * One cell drawn anew from its prior, Gamma(shape, scale θ). The proposal is the prior itself and knows nothing of what the
 * cell holds now, so the two cancel in the ratio of Hastings (1970), and only the likelihood decides. O(findings of the cell).
 */
export function refresh(trial: Trial, cell: number): void {
  const { state, random } = trial;
  trial.logLitres[cell] = state.logTheta + logGammaDraw(random, state.shape[cell]);
  trial.moved[0] = cell;
  trial.movedCount = 1;
  trial.enter();
  trial.weigh(0);
}

/**
 * Makes the trial's pair of two cells of a finding, the first chosen by what it brings, the second evenly; false where there are
 * no two, or nothing entered that could be divided. With what they bring together kept, and all else, the pair is as likely to be
 * chosen after its split has changed: in either order its chance is (b₁ + b₂) ÷ everything ÷ (cells − 1). So a move that
 * keeps b₁ + b₂ and what entered needs no term for the choice; `swap` has one, since with it other cells may move too.
 *
 * The choice by what is brought makes the move useful: two cells that bring nothing have nothing to exchange. O(cells of the finding).
 */
export function pickPair({ state, random, pair }: Trial, finding: number): boolean {
  const { litres, layout } = state;
  const { source } = layout;
  const seen = layout.cellsSeen[finding];
  const row = state.delivery.delivered[finding];
  const entered = state.entered[finding];
  if (seen.length < 2 || !(entered > 0)) return false;
  let rest = random.uniform() * entered;
  let at = 0;
  // The last cell takes what rounding may leave of `rest`.
  for (; at < seen.length - 1; at++) {
    const brings = row[source[seen[at]]] * litres[seen[at]];
    if (rest <= brings) break;
    rest -= brings;
  }
  const other = (at + 1 + Math.floor(random.uniform() * (seen.length - 1))) % seen.length;
  pair.first = seen[at];
  pair.second = seen[other];
  pair.bring1 = row[source[pair.first]];
  pair.bring2 = row[source[pair.second]];
  pair.together = pair.bring1 * litres[pair.first] + pair.bring2 * litres[pair.second];
  return pair.together > 0;
}

/**
 * Draws the split of what the pair brings together from Beta(shape1, shape2): the proportion of two independent gammas of one
 * scale. The pair is what moves. Both gammas are had as logarithms g, and their sum as max(g) + ln(1 + e^−|g₁ − g₂|): with
 * shapes far below 1 one of the two is nearly always too small for a number, and its logarithm is not.
 */
export function drawSplit(trial: Trial, shape1: number, shape2: number): void {
  const { first, second, bring1, bring2, together } = trial.pair;
  const g1 = logGammaDraw(trial.random, shape1);
  const g2 = logGammaDraw(trial.random, shape2);
  const logSum = Math.max(g1, g2) + Math.log1p(Math.exp(-Math.abs(g1 - g2)));
  trial.logLitres[first] = g1 - logSum + Math.log(together / bring1);
  trial.logLitres[second] = g2 - logSum + Math.log(together / bring2);
  trial.moved[0] = first;
  trial.moved[1] = second;
  trial.movedCount = 2;
}

/**
 * Two cells of a finding keep what they bring to it together, s = d₁x₁ + d₂x₂, and its split b is drawn anew. Of two
 * gammas the density of b given s is b^(a₁−1)·(1−b)^(a₂−1)·exp(−(x₁ + x₂) ÷ θ): it is drawn from Beta(a₁, a₂), and the last
 * factor is left to be weighed. With equal deliveries x₁ + x₂ does not change, which is Lukacs's (1955) independence of sum and
 * proportion. It jumps from "it was A" to "it was B" in one step.
 *
 * The change of variables from (x₁, x₂) to (s, b) has the Jacobian s ÷ (d₁d₂). The move changes neither s nor d, so that
 * it is the same before and after and drops out. Other findings that see the pair are weighed as always.
 */
export function split(trial: Trial, finding: number): void {
  const { state } = trial;
  if (!pickPair(trial, finding)) return;
  const { first, second } = trial.pair;
  drawSplit(trial, state.shape[first], state.shape[second]);
  trial.enter();
  const fewer = state.litres[first] + state.litres[second] - trial.litres[first] - trial.litres[second];
  trial.weigh(fewer / Math.exp(state.logTheta));
}

/**
 * All cells of one finding by one factor e^t. In ln litres the density of a gamma of shape a is x^a·e^(−x/θ), so that the ratio is
 * Σa·t − (e^t − 1)·Σx ÷ θ. No Jacobian is due: in ln litres the move is a shift by t for every cell, and −t is as likely
 * as t. It follows an amount whose size is badly known, which no exchange between cells could do. expm1 keeps the digits of
 * a small t. O(cells of the finding × their findings).
 */
export function scale(trial: Trial, finding: number): void {
  const { state } = trial;
  const seen = state.layout.cellsSeen[finding];
  const by = SCALE_STEP * trial.random.normal();
  let shapes = 0;
  let litres = 0;
  for (let at = 0; at < seen.length; at++) {
    const cell = seen[at];
    shapes += state.shape[cell];
    litres += state.litres[cell];
    trial.logLitres[cell] = state.logLitres[cell] + by;
    trial.moved[at] = cell;
  }
  trial.movedCount = seen.length;
  trial.enter();
  trial.weigh(shapes * by - (Math.expm1(by) * litres) / Math.exp(state.logTheta));
}
