import { logGamma } from '../../../algorithms/index.ts';
import { drawSplit, pickPair } from './litres.ts';
import { heldPart, type Reshaping, type Shapes, thetaStep } from './shapes.ts';
import type { Trial } from './trial.ts';

/** The part of swaps that take a step of θ too. A step of θ changes the shape of every cell, so such a swap costs more. */
const THETA_SWAPS = 0.3;

/** What a swap changes shapes with; `others` is room for a list of cells. */
interface Tools {
  shapes: Shapes;
  others: Int32Array;
}

/**
 * A split together with new yields of the two zones and, now and then, a step of θ: what was thought of them while
 * one was the source does not stand in the way of the other. A zone that brought all of the oil has been learned to yield
 * much, and one that brought none to yield little; a split alone would have to move against both.
 *
 * The two own factors are drawn from their priors, whatever they are now, and θ takes a step that leaves its prior as it is,
 * so none of the three has a term in the ratio. Nothing is done where both cells are of one zone (a split does that) or
 * where both zones have yields without roughness of their own. O(cells × findings).
 */
export function swap(trial: Trial, tools: Tools, finding: number): void {
  const { state, growth, random, pair } = trial;
  if (!pickPair(trial, finding)) return;
  const { source, ownSpread } = state.layout;
  const s1 = source[pair.first];
  const s2 = source[pair.second];
  const spread1 = ownSpread[s1];
  const spread2 = ownSpread[s2];
  if (s1 === s2 || spread1 + spread2 === 0) return;
  const theta = random.uniform() < THETA_SWAPS ? thetaStep(trial) : 0;
  const next1 = random.normal();
  const next2 = random.normal();
  const yield1 = spread1 * (next1 - state.own[s1]);
  const yield2 = spread2 * (next2 - state.own[s2]);
  growth[s1] = Math.exp(yield1);
  growth[s2] = Math.exp(yield2);
  if (trySwap(trial, tools, { finding, theta })) {
    state.own[s1] = next1;
    state.own[s2] = next2;
    state.logYield[s1] += yield1;
    state.logYield[s2] += yield2;
  }
  growth[s1] = 1;
  growth[s2] = 1;
}

/**
 * Weighs a swap, and takes it if it may be taken; true then.
 *
 * The log ratio has four terms. *Shapes* of the other cells, from `reshape`. *Size*: with new shapes b the density of what the pair
 * brings together is no longer the same, so the normaliser of the Beta that the way there was drawn from, and of the one for the
 * way back, come in: B(b₁, b₂) ÷ B(a₁, a₂) of the priors against the proposals leaves Γ(a₁ + a₂) ÷ Γ(b₁ + b₂). *Litres*:
 * exp(−x/θ) before and after. *Choice*: the pair was picked in proportion to what it brings of what entered, and
 * what enters may have changed with the cells that follow.
 *
 * The size term in full: with s the litres that the pair brings together, x₁ = s·β/d₁ and x₂ = s·(1 − β)/d₂, the two gammas are
 * s^(a₁+a₂−1) · β^(a₁−1)·(1−β)^(a₂−1) · (d₁θ)^−a₁ · (d₂θ)^−a₂ ÷ (Γ(a₁)Γ(a₂)), times the litres term. Divided by the density of
 * Beta(a₁, a₂) at β this is s^−1 · (s/(d₁θ))^a₁ · (s/(d₂θ))^a₂ ÷ Γ(a₁ + a₂). The size term is its logarithm after, with b and the new
 * θ, less that before, with a; s is kept, so that s^−1 drops out.
 */
function trySwap(
  trial: Trial,
  { shapes, others }: Tools,
  { finding, theta }: { finding: number; theta: number },
): boolean {
  const { state } = trial;
  const { shape, litres, logTheta } = state;
  const { source } = state.layout;
  const { first, second, bring1, bring2, together } = trial.pair;
  const part = heldPart(trial.random);
  const shrink = Math.exp(-theta);
  const a1 = shape[first];
  const a2 = shape[second];
  const b1 = a1 * trial.growth[source[first]] * shrink;
  const b2 = a2 * trial.growth[source[second]] * shrink;
  // The split is drawn for the shapes that are to be, and on the way back for those that were.
  drawSplit(trial, b1, b2);
  const count = listOthers(trial, others, theta !== 0);
  const change: Reshaping = { cells: others, count, theta, part };
  const ratio = shapes.reshape(change);
  trial.enter();
  if (!shapes.canGoBack(change)) return false;
  const log1 = Math.log(together / bring1) - logTheta;
  const log2 = Math.log(together / bring2) - logTheta;
  const size =
    b1 * (log1 - theta) + b2 * (log2 - theta) - logGamma(b1 + b2) - a1 * log1 - a2 * log2 + logGamma(a1 + a2);
  const before = (litres[first] + litres[second]) / Math.exp(logTheta);
  const after = (trial.litres[first] + trial.litres[second]) / Math.exp(logTheta + theta);
  // The pair brings the same before and after; what it is a part of may not.
  const asLikely = Math.log(state.entered[finding] / trial.entered[finding]);
  if (!trial.weigh(ratio + size + before - after + asLikely)) return false;
  trial.shape[first] = b1;
  trial.shape[second] = b2;
  trial.logGammaNext[first] = logGamma(b1 + 1);
  trial.logGammaNext[second] = logGamma(b2 + 1);
  others[count] = first;
  others[count + 1] = second;
  shapes.take({ ...change, count: count + 2 });
  return true;
}

/** Lists the cells whose shape a swap changes besides the pair's: those of its zones, or all of them. Returns how many. */
function listOthers({ state, pair }: Trial, others: Int32Array, isAll: boolean): number {
  const { first, second } = pair;
  const { source } = state.layout;
  const s1 = source[first];
  const s2 = source[second];
  let count = 0;
  for (let cell = 0; cell < source.length; cell++) {
    const isTheirs = source[cell] === s1 || source[cell] === s2;
    if ((isAll || isTheirs) && cell !== first && cell !== second) others[count++] = cell;
  }
  return count;
}
