import { logGamma, logGammaDraw, type Random } from '../../../algorithms/index.ts';
import type { Delivery } from '../../model/delivery-model.ts';
import type { Groups } from '../../model/groups.ts';
import { logSpreadOf } from '../../model/likelihood.ts';
import type { Evidence } from '../../question/evidence.ts';
import { isMeasured } from '../../question/observation.ts';
import { drawLitres, type GroupState } from './group-state.ts';

/**
 * Part of the choice of who brought the drop that goes by the prior alone, so that no way is shut. It bounds what the choice does
 * to a weight: a term expected to bring m has at least the chance 0.1·m ÷ (all that is expected), so m ÷ chance is at most ten
 * times all that is expected.
 */
const OPEN = 0.1;
/** Newton's steps to the peak at most. A peak that is missed makes weights uneven, not wrong. */
const PEAK_STEPS = 12;
/** Scale of the logistic that stands in for a bell of standard deviation 1: about where its weights vary least. */
const LOGISTIC = 0.62;

/** An amount, as it meets the groups that are still free. */
interface Amount {
  /** Litres that entered from groups drawn before. */
  before: number;
  /** ln of the litres that entered, if the amount is what it says, and the standard deviation of that. */
  told: number;
  spread: number;
}

/**
 * Draws the litres of the groups so that they come to about the amounts found, and weighs each amount by how well that
 * goes with the gammas. With v = Σ d·x, of which groups drawn for an earlier amount brought b:
 *
 * 1. *Whose drop.* The likelihood L(v) is split into L(v)·(d·x ÷ v) over the groups and L(v)·(b ÷ v). One of these terms is
 *    drawn; for a group, x·Gamma(x; a, r) = (a ÷ r)·Gamma(x; a + 1, r), so its shape goes up by 1 and no draw underflows.
 * 2. *Proportions.* All free litres are drawn and kept up to a common factor. Given proportions u with Σ d·u = 1 their
 *    sum w = Σ d·x is Gamma(A, R) with A = Σ shapes and R = Σ r·u, whatever the rates.
 * 3. *Size.* ln w is drawn from a logistic near the peak of that gamma times L(b + w) ÷ (b + w), and weighed against it.
 *
 * For the term of b the litres are drawn as they are. Weights are unbiased whatever the guesses in 1 and 3.
 *
 * Why step 2 holds: of independent gammas, x = w·u has the density Π (w·u)^(a − 1)·e^(−r·w·u), and the volume element is w^(n − 1)
 * times one of u alone. Together the powers of w are w^(A − 1), and the exponents add up to −R·w: a gamma, given u. So it is
 * right to draw u from the priors, which is how all x are drawn before their sum is forgotten, and w from anything that
 * is then weighed against Gamma(A, R).
 *
 * Why the amount is split at all: drawn as they are, small gammas hardly ever come to litres, and the rare draws that do would have
 * all the weight. With the drop given to one group that group is of shape a + 1, and litres are what it usually has.
 *
 * The weight of the split is term ÷ chance of the term, whose mean over the choice is the sum of all terms, L(v). Each amount
 * adds the logarithm of such a factor. Of several amounts, each takes what was drawn before as given: the product of the factors
 * is then unbiased for the chance of all of them.
 */
export class AmountWeigher {
  /** Findings with an amount, those that see the fewest groups first. */
  private readonly amounts: { finding: number; litres: number; spread: number }[];
  /** Free groups of an amount; what a litre of each brings, what each is expected to bring, and its chance in step 1. */
  private readonly free: Int32Array;
  private readonly bring: Float64Array;
  private readonly expected: Float64Array;
  private readonly chance: Float64Array;

  constructor(
    evidence: Evidence,
    private readonly groups: Groups,
    private readonly state: GroupState,
    private readonly random: Random,
  ) {
    const { findings } = evidence;
    const sees = (finding: number) => groups.seen[finding].length;
    this.amounts = findings
      .flatMap((each, finding) =>
        isMeasured(each) ? [{ finding, litres: each.litres, spread: logSpreadOf(each.factor) }] : [],
      )
      .sort((a, b) => sees(a.finding) - sees(b.finding) || a.finding - b.finding);
    this.free = new Int32Array(groups.count);
    this.bring = new Float64Array(groups.count);
    this.expected = new Float64Array(groups.count);
    this.chance = new Float64Array(groups.count + 1);
  }

  /** ln of the chance of all amounts, as this draw estimates it; −∞ where one cannot be. O(amounts × groups). */
  weigh(delivery: Delivery): number {
    let logWeight = 0;
    for (const amount of this.amounts) logWeight += this.fit(amount, delivery);
    return logWeight;
  }

  /**
   * ln of the weight of one amount. The oil that is told is that which entered, litres ÷ `holds`, since the finding is of what was
   * held. Where every group that it sees was drawn for an earlier amount, nothing is left to choose, and the weight is L(b).
   */
  private fit({ finding, litres, spread }: AmountWeigher['amounts'][number], { delivered, holds }: Delivery): number {
    const { free, bring, chance, state } = this;
    const { source, seen } = this.groups;
    const row = delivered[finding];
    let [size, before] = [0, 0];
    for (const group of seen[finding]) {
      if (state.isDrawn[group] === 1) before += row[source[group]] * state.litres[group];
      else {
        free[size] = group;
        bring[size++] = row[source[group]];
      }
    }
    const amount = { before, told: Math.log(litres / holds[finding]), spread };
    if (size === 0) return logOfAmount(before, amount);
    const one = this.chooseOne(size, amount);
    if (one === size) return this.leave(size, amount) - Math.log(chance[one]);
    state.shape[free[one]] += 1;
    return Math.log(this.expected[one] / chance[one]) + this.fill(size, amount);
  }

  /**
   * Step 1: one of the `size` free groups, or, as number `size`, what came before. The chances are guesses: all that the
   * groups bring is taken for one gamma of its mean and variance, of the size that the amount says. To choose a group adds one
   * to its shape, so that the sum's mean grows by the group's scale (delivery ÷ rate), and its variance by the square of it.
   * Chances are kept as logarithms until the largest is known, and then taken relative to it, since most of them underflow.
   */
  private chooseOne(size: number, { before, told, spread }: Amount): number {
    const { free, bring, chance, expected } = this;
    const { shape, rate } = this.state;
    let [mean, variance] = [0, 0];
    for (let at = 0; at < size; at++) {
      const scale = bring[at] / rate[free[at]];
      expected[at] = shape[free[at]] * scale;
      mean += expected[at];
      variance += expected[at] * scale;
    }
    const missing = Math.exp(told) - before;
    const logMissing = Math.log(missing);
    let top = Number.NEGATIVE_INFINITY;
    for (let at = 0; at < size; at++) {
      const scale = bring[at] / rate[free[at]];
      const fits = missing > 0 ? logGammaDensity(mean + scale, variance + scale * scale, logMissing) : -Infinity;
      chance[at] = Math.log(expected[at]) + fits;
      if (chance[at] > top) top = chance[at];
    }
    chance[size] = Number.NEGATIVE_INFINITY;
    if (before > 0) {
      const alone = logOfAmount(before, { before, told, spread }) - Math.log(spread * (before + mean));
      const fits = missing > 0 ? logGammaDensity(mean, variance, logMissing) : alone;
      chance[size] = Math.log(before) + Math.max(alone, fits);
      top = Math.max(top, chance[size]);
    }
    let sum = 0;
    for (let at = 0; at <= size; at++) {
      chance[at] = Math.exp(chance[at] - top);
      sum += chance[at];
    }
    let left = this.random.uniform();
    let one = -1;
    for (let at = 0; at <= size; at++) {
      const plain = (at < size ? expected[at] : before) / (before + mean);
      chance[at] = (1 - OPEN) * (chance[at] / sum) + OPEN * plain;
      left -= chance[at];
      if (one < 0 && left <= 0) one = at;
    }
    return Math.max(0, one);
  }

  /**
   * The term of what came before: the free groups as their gammas have them. They are drawn from the prior, so the weight is the
   * term itself, L(v)·b ÷ v, at what they come to; the chance of its choice is taken off where it was chosen.
   */
  private leave(size: number, amount: Amount): number {
    const { free, bring, state } = this;
    let entered = amount.before;
    for (let at = 0; at < size; at++) {
      drawLitres(state, free[at], this.random);
      entered += bring[at] * state.litres[free[at]];
    }
    return Math.log(amount.before / entered) + logOfAmount(entered, amount);
  }

  /**
   * Steps 2 and 3 for the free groups. The weight is the density of ln w under Gamma(A, R), (R·w)^A·e^(−R·w) ÷ Γ(A), the Jacobian w of
   * the logarithm included, times L(b + w) ÷ (b + w), divided by the logistic's density there, U(1 − U) ÷ scale for the uniform
   * number U that it was drawn with. With b = 0 the weight has a bound for given A and R: in ln w the likelihood falls off as a
   * bell, faster than the logistic's exponential tails on either side.
   */
  private fill(size: number, amount: Amount): number {
    const { free, bring, random } = this;
    const { shape, rate, litres, logLitres, isDrawn } = this.state;
    let [shapes, sum, perLitre] = [0, 0, 0];
    for (let at = 0; at < size; at++) {
      const group = free[at];
      shapes += shape[group];
      logLitres[group] = logGammaDraw(random, shape[group]) - Math.log(rate[group]);
      litres[group] = Math.exp(logLitres[group]);
      sum += bring[at] * litres[group];
      perLitre += rate[group] * litres[group];
    }
    perLitre /= sum;
    const { peak, width } = peakOf(shapes, perLitre, amount);
    const uniform = random.uniform();
    const scale = LOGISTIC * width;
    const logSize = peak + scale * Math.log(uniform / (1 - uniform));
    const brought = Math.exp(logSize);
    const [times, by] = [brought / sum, logSize - Math.log(sum)];
    for (let at = 0; at < size; at++) {
      logLitres[free[at]] += by;
      litres[free[at]] *= times;
      isDrawn[free[at]] = 1;
    }
    const entered = amount.before + brought;
    const logDrawn = Math.log((uniform * (1 - uniform)) / scale);
    const logPrior = shapes * (Math.log(perLitre) + logSize) - perLitre * brought - logGamma(shapes);
    return logPrior + logOfAmount(entered, amount) - Math.log(entered) - logDrawn;
  }
}

/** ln of how well an amount goes with what entered, without its constant; −∞ where nothing did. */
function logOfAmount(entered: number, { told, spread }: Amount): number {
  const off = (Math.log(entered) - told) / spread;
  return -0.5 * off * off;
}

/** ln density of a gamma, given by its mean and variance, both above 0: shape mean² ÷ variance, rate mean ÷ variance. */
function logGammaDensity(mean: number, variance: number, logX: number): number {
  const rate = mean / variance;
  const shape = mean * rate;
  return shape * Math.log(rate) + (shape - 1) * logX - rate * Math.exp(logX) - logGamma(shape);
}

/**
 * Where the density of step 3 is highest, in ln litres, and how wide it is there, by Newton's steps.
 *
 * With y = ln w the logarithm of the density is A·y − R·w − (ln(b + w) − told)² ÷ 2σ² − ln(b + w), and with part = w ÷ (b + w) its slope is
 * A − R·w − part·pull. The bend is minus the second derivative. Its last term is below 0 where much less entered than was told;
 * it is then left out, which keeps the bend above 0 and each step uphill. Steps are held to 2, a factor of 7 in litres, so that
 * a bad start cannot throw them out of the range of numbers. The start weighs the two peaks by how sharp they are.
 * The width is that of the bell with the same bend. A hundredth is near enough: the draw is weighed anyhow.
 */
function peakOf(shape: number, rate: number, { before, told, spread }: Amount): { peak: number; width: number } {
  const sharp = 1 / (spread * spread);
  let peak = (told * sharp + shape * Math.log(shape / rate)) / (sharp + shape);
  let bend = shape;
  for (let step = 0; step < PEAK_STEPS; step++) {
    const litres = Math.exp(peak);
    const part = litres / (before + litres);
    const pull = (Math.log(before + litres) - told) * sharp + 1;
    bend = rate * litres + part * part * sharp + Math.max(0, part * (1 - part) * pull);
    const by = Math.max(-2, Math.min(2, (shape - rate * litres - part * pull) / bend));
    peak += by;
    if (Math.abs(by) < 1e-2) break;
  }
  return { peak, width: 1 / Math.sqrt(bend) };
}
