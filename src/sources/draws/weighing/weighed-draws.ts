import {
  effectiveCountFor,
  effectiveCountOf,
  logGammaDraw,
  type Random,
  resample,
  seededRandom,
  tailShapeOf,
} from '../../../algorithms/index.ts';
import type { DeliveryModel } from '../../model/delivery-model.ts';
import { type Groups, groupCells } from '../../model/groups.ts';
import { logLikelihood, type Said, saidBy } from '../../model/likelihood.ts';
import type { ReleasePrior } from '../../model/rates.ts';
import { Rates } from '../../model/rates.ts';
import type { Question } from '../../question/question.ts';
import { type Draws, drawTable, type State, sharesThatMatter } from '../draw-table.ts';
import { followDraws, Proposal } from './proposal.ts';
import { Weighing } from './weighing.ts';

/** Draws from one proposal before it is judged and, perhaps, another follows what was learned. */
const STAGE = 1_000;
/** Proposals at most, the prior included: each needs its density at every draw, and later ones gain less and less. */
const MOST_STAGES = 4;
/** A proposal is good enough whose draws are worth this part of themselves; another is tried as long as it gains by so much. */
const GOOD_PART = 0.4;
const LEAST_GAIN = 1.25;
/** Where the first draws are worth less than this part, no proposal has been seen to save them. */
const HOPELESS_PART = 0.01;
/** What a proposal follows is worth so many draws at least: uneven weights are evened out by a power. */
const FOLLOWED = 150;
/** Weighing is given up where so many draws are not worth the least, or where the stages show that they will not be. */
const MOST_DRAWS = 20_000;
/** Effective draws without which the chains are asked, as a part of those wanted. */
const LEAST_PART = 0.25;
/**
 * k̂ above which averages over weighted draws cannot be believed (Vehtari et al. 2024). k̂ is the shape of a generalized Pareto fitted to
 * the largest weights. Such a tail has moments only below 1 ÷ k: from 0.5 on the weights have no variance, and (Σw)² ÷ Σw² says more
 * draws than there are. Up to 0.7 averages still settle in as many draws as are made here; above it a draw yet to come
 * may outweigh all that were made, and nothing in those would show it. The weights themselves are left as they are.
 */
const LARGEST_TAIL_SHAPE = 0.7;

/** What an engine is asked for: so many draws of equal weight, worth so many independent ones. */
interface Wanted {
  model: DeliveryModel;
  prior: ReleasePrior;
  count: number;
  effective: number;
}

/**
 * Draws from the posterior by weighing independent draws until they are worth enough, then draws of equal weight from
 * them. null where the weights are too uneven to be believed; that is found out by counted work, so the same question
 * always takes the same way. O(draws × (groups × findings + sources + edges upstream) + count × cells).
 *
 * `count` is how many draws are handed on and `effective` what the weighted ones must be worth, (Σw)² ÷ Σw². Equal weight
 * comes of systematic resampling (Kitagawa 1996): a heavy draw is handed on several times, and its copies then differ only in how
 * a group's litres divide among its cells. `mixing` counts that, so that copies are not taken for draws of their own.
 *
 * Averages of weighted draws are biased by the order of 1 ÷ draws, and later proposals follow earlier draws, which a mixture of fixed
 * proposals would not; both fade as draws grow. What cannot be seen from the draws is a place that matters and
 * that none of them came to: the prior among the proposals guards against it, and does not rule it out.
 */
export function weighedDraws(question: Question, { model, prior, count, effective }: Wanted): Draws | null {
  const random = seededRandom(question.seed);
  const groups = groupCells(question.evidence, model);
  const weighing = new Weighing(question.evidence, groups, { model, release: prior, random });
  const rows = new Rows(question, groups, { prior, numbers: weighing.normals.length });
  const logWeights = new Stages(weighing, rows).weighEnough({ count, effective });
  if (!logWeights) return null;
  const { chosen, burden } = resample(logWeights, count, random);
  const { draws, write } = drawTable(question, count);
  for (let at = 0; at < count; at++) write(at, rows.read(chosen[at], random));
  draws.mixing = { effectiveCount: leastEffective(draws, burden), rHat: 1 };
  return draws;
}

/**
 * How many independent draws the weighed ones are worth, in general and for the worst of the shares that matter. `burden` tells for
 * each draw how much more it adds to the variance of a mean than one of its own would, copies and the luck of resampling counted.
 */
function leastEffective(draws: Draws, burden: Float64Array): number {
  const general = draws.count ** 2 / burden.reduce((sum, each) => sum + each, 0);
  return Math.min(general, ...sharesThatMatter(draws).map((values) => effectiveCountFor(values, burden)));
}

/**
 * Draws in stages: the first from the prior, each further one from where the draws before it say that θ, yields and
 * `holds` lie, then many from the best. All draws count, each weighed against the mixture of the proposals as it was
 * drawn from (the balance heuristic of Veach and Guibas 1995); since the prior is one of them, no weight is unbounded.
 */
class Stages {
  private readonly proposals: Proposal[] = [];
  private readonly counts: number[] = [];
  /** By proposal, ln of its density ÷ the prior's at each draw. */
  private readonly logRatios: Float64Array[] = [];
  private readonly logLike = new Float64Array(MOST_DRAWS);
  private drawn = 0;

  constructor(
    private readonly weighing: Weighing,
    private readonly rows: Rows,
  ) {}

  /**
   * The logarithms of the weights of `count` draws or more; null where they are not worth enough, or k̂ says that what they
   * are worth cannot be believed.
   *
   * Up to four proposals are tried, as long as draws are worth less than 0.4 of themselves and each is better than the best
   * before it by a quarter. Then the best draws as many as are wanted, and more by as much as is missing, never more than doubling, since what a draw is worth is itself an estimate. Where even all draws
   * allowed would not do at the rate seen, it gives up at once and leaves the time to the chains.
   */
  weighEnough({ count, effective }: Pick<Wanted, 'count' | 'effective'>): Float64Array | null {
    let best = 0;
    let bestPart = this.stage(new Proposal());
    while (bestPart >= HOPELESS_PART && bestPart < GOOD_PART && this.proposals.length < MOST_STAGES) {
      const part = this.stage(this.follow());
      const isGain = part > LEAST_GAIN * bestPart;
      if (part > bestPart) [best, bestPart] = [this.proposals.length - 1, part];
      if (!isGain) break;
    }
    const missing = Math.min(count, MOST_DRAWS) - this.drawn;
    if (missing > 0 && bestPart >= HOPELESS_PART) this.draw(best, missing);
    for (;;) {
      const logWeights = this.logWeights();
      const worth = effectiveCountOf(logWeights);
      const isLast = this.drawn === MOST_DRAWS;
      if (worth >= effective * (isLast ? LEAST_PART : 1) && tailShapeOf(logWeights) <= LARGEST_TAIL_SHAPE) {
        return logWeights;
      }
      const part = Math.min(bestPart, worth / this.drawn);
      if (isLast || part * MOST_DRAWS < LEAST_PART * effective) return null;
      const more = Math.max(STAGE / 4, Math.ceil((1.02 * (effective - worth)) / bestPart));
      this.draw(best, Math.min(more, this.drawn, MOST_DRAWS - this.drawn));
    }
  }

  /** Draws from a new proposal; what part of themselves these draws are worth. */
  private stage(proposal: Proposal): number {
    const from = this.drawn;
    const ratios = new Float64Array(MOST_DRAWS);
    for (let draw = 0; draw < from; draw++) ratios[draw] = this.ratio(proposal, draw);
    this.proposals.push(proposal);
    this.counts.push(0);
    this.logRatios.push(ratios);
    this.draw(this.proposals.length - 1, STAGE);
    const own = this.logLike.slice(from, this.drawn).map((log, at) => log - ratios[from + at]);
    return effectiveCountOf(own) / STAGE;
  }

  /** Draws so many more from a proposal; each keeps its density under every proposal, for the mixture needs them all. */
  private draw(stage: number, count: number): void {
    const proposal = this.proposals[stage];
    for (let left = count; left > 0; left--, this.drawn++) {
      this.logLike[this.drawn] = this.weighing.draw(proposal);
      this.rows.keep(this.drawn, this.weighing);
      this.proposals.forEach((each, at) => {
        this.logRatios[at][this.drawn] = this.ratio(each, this.drawn);
      });
    }
    this.counts[stage] += count;
  }

  /** ln of a proposal's density ÷ the prior's at a draw, whichever proposal that was drawn from. */
  private ratio(proposal: Proposal, draw: number): number {
    const { numbers, from } = this.rows.numbersOf(draw);
    return proposal.logRatio(numbers, from);
  }

  /**
   * ln of likelihood × prior ÷ Σ over the proposals of (draws from it) × (its density): the balance heuristic. Prior and proposal come in
   * as their ratio alone. The prior is the first proposal, with a ratio of 1 and 1,000 draws or more, so that the sum is 1,000 at least
   * however far off the others are.
   */
  private logWeights(): Float64Array {
    return this.logLike.slice(0, this.drawn).map((log, draw) => {
      let mixture = 0;
      for (let at = 0; at < this.counts.length; at++) mixture += this.counts[at] * Math.exp(this.logRatios[at][draw]);
      return log - Math.log(mixture);
    });
  }

  /**
   * A proposal that follows the draws so far. Where a few draws have nearly all the weight, means and spreads would be theirs alone; so
   * weights are taken to a power below 1 until they are worth 150 draws, or half of those that are possible at all. That
   * makes the proposal too wide rather than too narrow, and touches no weight that is handed on.
   */
  private follow(): Proposal {
    let logWeights = this.logWeights();
    const possible = logWeights.reduce((count, log) => count + (log > Number.NEGATIVE_INFINITY ? 1 : 0), 0);
    while (effectiveCountOf(logWeights) < Math.min(FOLLOWED, possible / 2))
      logWeights = logWeights.map((log) => 0.8 * log);
    const top = logWeights.reduce((most, log) => Math.max(most, log), Number.NEGATIVE_INFINITY);
    const weights = logWeights.map((log) => Math.exp(log - top));
    return followDraws(weights, this.weighing.normals.length, (draw) => this.rows.numbersOf(draw));
  }
}

/** Rows are made room for so many at a time. */
const ROWS = 500;

/**
 * What is kept of weighted draws, a row for each: the numbers that θ and yields are read off; of each group that the target sees ln litres and delivery;
 * and what entered and is held at each finding.
 */
class Rows {
  private readonly width: number;
  private readonly batches: Float64Array[] = [];
  private readonly seen: Int32Array;
  /** By finding. */
  private readonly said: Said[];
  private readonly state: State;
  private lastRead = -1;

  private readonly rates: Rates;
  private readonly numbers: number;

  constructor(
    private readonly question: Question,
    private readonly groups: Groups,
    { prior, numbers }: { prior: ReleasePrior; numbers: number },
  ) {
    const { sources, findings, cells } = question.evidence;
    this.rates = new Rates(sources, prior);
    this.numbers = numbers;
    this.seen = groups.seen[question.target];
    this.said = findings.map(saidBy);
    this.width = numbers + 2 * this.seen.length + 2 * findings.length;
    this.state = {
      theta: 1,
      litresPerYear: new Float64Array(sources.length),
      delivered: new Float64Array(sources.length),
      logLitres: new Float64Array(cells.length),
      logLike: new Float64Array(findings.length),
    };
  }

  /** Keeps a draw as row `draw`; draws come in order. O(numbers + groups seen + findings). */
  keep(draw: number, { normals, state, entered, delivery }: Weighing): void {
    if (draw % ROWS === 0) this.batches.push(new Float64Array(ROWS * this.width));
    const rows = this.batches[this.batches.length - 1];
    const { groups, seen } = this;
    const row = delivery.delivered[this.question.target];
    let at = (draw % ROWS) * this.width;
    for (let index = 0; index < normals.length; index++) rows[at++] = normals[index];
    for (let index = 0; index < seen.length; index++) {
      rows[at++] = state.logLitres[seen[index]];
      rows[at++] = row[groups.source[seen[index]]];
    }
    for (let finding = 0; finding < entered.length; finding++) {
      rows[at++] = entered[finding];
      rows[at++] = delivery.holds[finding];
    }
  }

  /** The numbers of a draw that have standard normal priors, and where they start. */
  numbersOf(draw: number): { numbers: Float64Array; from: number } {
    return { numbers: this.batches[Math.floor(draw / ROWS)], from: (draw % ROWS) * this.width };
  }

  /** One draw in full: what a group released is divided among its cells anew each time. */
  read(draw: number, random: Random): State {
    const { state, groups, seen, said } = this;
    const { numbers: rows, from } = this.numbersOf(draw);
    if (draw !== this.lastRead) {
      state.theta = this.rates.read(rows.subarray(from, from + this.numbers), state.litresPerYear);
      this.lastRead = draw;
    }
    let at = from + this.numbers;
    for (let index = 0; index < seen.length; index++) {
      const [group, logLitres, delivered] = [seen[index], rows[at++], rows[at++]];
      this.divide(group, logLitres, random);
      for (let member = groups.starts[group]; member < groups.starts[group + 1]; member++) {
        state.delivered[groups.sources[member]] = delivered;
      }
    }
    for (let finding = 0; finding < said.length; finding++) {
      state.logLike[finding] = logLikelihood(said[finding], rows[at++], rows[at++]);
    }
    return state;
  }

  /**
   * Divides what a group released among its cells, by a Dirichlet of their shapes: independent gammas of one scale over their sum.
   * In logarithms, the largest taken out of the sum first, for shapes of 0.001 leave all but one part too small for a number.
   */
  private divide(group: number, log: number, random: Random): void {
    const { logLitres, litresPerYear, theta } = this.state;
    const { starts, cells, sources, years } = this.groups;
    const [start, end] = [starts[group], starts[group + 1]];
    if (end === start + 1) {
      logLitres[cells[start]] = log;
      return;
    }
    let top = Number.NEGATIVE_INFINITY;
    for (let at = start; at < end; at++) {
      const part = logGammaDraw(random, (litresPerYear[sources[at]] * years[at]) / theta);
      logLitres[cells[at]] = part;
      if (part > top) top = part;
    }
    let sum = 0;
    for (let at = start; at < end; at++) sum += Math.exp(logLitres[cells[at]] - top);
    const by = log - top - Math.log(sum);
    for (let at = start; at < end; at++) logLitres[cells[at]] += by;
  }
}
