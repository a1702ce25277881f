import { logGamma, logGammaDraw, type Random } from '../algorithms/index.ts';
import type { Delivery, DeliveryModel } from './delivery-model.ts';
import type { State } from './draw-table.ts';
import type { Evidence } from './evidence.ts';
import { kinshipsOf } from './kinships.ts';
import { logLikelihood } from './likelihood.ts';
import { isMeasured } from './observation.ts';

/** θ in litres: known, or log-normal with this median and factor. */
export type ReleasePrior = { litres: number } | { median: number; factor: number };

/** Lengths of steps for what has a normal prior, as parts of it; drawn for every step. */
const STEPS = [0.15, 0.4, 0.8];
/** Parts of a finding above which a cell is held fast while shapes change; 0 holds all, which suits seepage. */
const HELD_ABOVE = [0, 1e-3, 0.03, 0.3];
const THETA_STEPS = 2;
/** Swaps in a sweep, and the part of them that take a step of θ too. */
const SWAPS = 8;
const THETA_SWAPS = 0.3;
const SCALE_STEP = 0.5;
/** Draws of the prior that a chain chooses its start from. */
const FIRST_DRAWS = 50;

/** Two cells of a finding, what a litre of each brings to it, and what they bring together. */
interface Pair {
  first: number;
  second: number;
  bring1: number;
  bring2: number;
  together: number;
}

/**
 * One Markov chain over everything that is not known: litres of every cell, θ, the roughness of yields and guessed
 * `holds`. The moves (design §3, Posterior) work in ln litres, so that a shape of 0.001 does not underflow:
 *
 * - *split*: two cells of one finding keep what they bring to it together, and its split is drawn anew from
 *   Beta(a₁, a₂). The first is chosen by what it brings, the second evenly, which is as likely after the move as
 *   before. It jumps from "it was A" to "it was B" in one step.
 * - *swap*: a split together with new yields of the two zones and, now and then, a step of θ.
 * - *refresh*: one cell drawn anew from its prior.
 * - *scale*: all cells of one finding by one factor.
 * - *θ and yields* change shapes. Cells that bring more than some part of a finding keep their litres; the others keep
 *   u = (x/θ)^a / Γ(a + 1), whose prior density exp(−x/θ) knows nothing of a, so that they follow. A step after which
 *   other cells would be held is not taken, for it could not be taken back.
 * - *holds*: one guessed structure at a time; delivery is worked out anew.
 *
 * Every move leaves the posterior as it is. Lists of cells stand in typed arrays that are made once; a move looks only at
 * the findings that it touches. A sweep is O(cells × findings + ways between guesses).
 */
export class Chain {
  /** Litres of each cell, and their logarithms, which do not underflow. */
  readonly litres: Float64Array;
  readonly logLitres: Float64Array;
  readonly logYield: Float64Array;
  logTheta: number;

  private readonly litresPerYear: Float64Array;
  private readonly ownSpread: Float64Array;
  private readonly own: Float64Array;
  private readonly shared: Float64Array;
  /** Zones whose yields share a factor, with its size, and their cells. */
  private readonly kinships: { sources: number[]; cells: Int32Array; spread: number }[];
  private readonly stray: Float64Array;
  private delivery: Delivery;
  private spareDelivery: Delivery;

  /** Source of each cell; its findings are seenBy[seenFrom[cell]] to seenBy[seenFrom[cell + 1] − 1]. */
  private readonly source: Int32Array;
  private readonly seenFrom: Int32Array;
  private readonly seenBy: Int32Array;
  /** What a litre of the cell brings to each of them. */
  private readonly bring: Float64Array;
  private readonly cellsSeen: Int32Array[];
  private readonly cellsOf: Int32Array[];
  private readonly allCells: Int32Array;
  private readonly allFindings: Int32Array;
  private readonly amounts: Int32Array;

  /** Shape of each cell, and ln Γ(shape + 1). */
  private readonly shape: Float64Array;
  private readonly logGammaNext: Float64Array;
  /** Litres that entered at each finding, and the log likelihood of that. */
  private readonly entered: Float64Array;
  private readonly logLike: Float64Array;

  /** A move being weighed: cells that get other litres, what they get, and what their shapes become. */
  private readonly moved: Int32Array;
  private movedCount = 0;
  private readonly trialLog: Float64Array;
  private readonly trialLitres: Float64Array;
  private readonly trialShape: Float64Array;
  private readonly trialGammaNext: Float64Array;
  private readonly isHeld: Uint8Array;
  /** By which factor a move changes the yield of each source; 1 outside a move. */
  private readonly growth: Float64Array;
  /** Findings that the move touches, and what would enter there; only where `touchedAt` is the present move. */
  private readonly touched: Int32Array;
  private touchedCount = 0;
  private readonly touchedAt: Int32Array;
  private move = 0;
  private readonly trialEntered: Float64Array;
  private readonly trialLike: Float64Array;
  private readonly others: Int32Array;
  private readonly pair: Pair = { first: 0, second: 0, bring1: 0, bring2: 0, together: 0 };

  constructor(
    private readonly evidence: Evidence,
    private readonly model: DeliveryModel,
    private readonly release: ReleasePrior,
    private readonly random: Random,
  ) {
    const { cells, sources, findings } = evidence;
    const numbers = (count: number) => new Float64Array(count);
    this.allCells = Int32Array.from(cells.keys());
    this.allFindings = Int32Array.from(findings.keys());
    this.amounts = this.allFindings.filter((finding) => isMeasured(findings[finding]));
    this.source = Int32Array.from(cells, ({ source }) => source);
    this.cellsOf = sources.map((_, source) => this.allCells.filter((cell) => cells[cell].source === source));
    this.cellsSeen = findings.map((_, finding) => this.allCells.filter((cell) => cells[cell].seenBy.includes(finding)));
    this.seenBy = Int32Array.from(cells.flatMap(({ seenBy }) => seenBy));
    this.seenFrom = new Int32Array(cells.length + 1);
    cells.forEach(({ seenBy }, cell) => {
      this.seenFrom[cell + 1] = this.seenFrom[cell] + seenBy.length;
    });
    this.bring = numbers(this.seenBy.length);

    const { own, shared } = kinshipsOf(sources);
    this.ownSpread = own;
    this.kinships = shared.map(({ sources: kin, spread }) => {
      return { sources: kin, spread, cells: this.allCells.filter((cell) => kin.includes(cells[cell].source)) };
    });
    this.own = numbers(sources.length);
    this.shared = numbers(this.kinships.length);
    this.stray = numbers(model.guessed);
    this.delivery = model.at(this.stray);
    this.spareDelivery = model.at(this.stray);
    this.logTheta = Math.log('litres' in release ? release.litres : release.median);
    this.logYield = Float64Array.from(sources, ({ litresPerYear }) => Math.log(litresPerYear));
    this.litresPerYear = numbers(sources.length);
    this.growth = numbers(sources.length).fill(1);

    this.shape = Float64Array.from(
      cells,
      ({ source, years }) => Math.exp(this.logYield[source] - this.logTheta) * years,
    );
    this.logGammaNext = this.shape.map((shape) => logGamma(shape + 1));
    [this.litres, this.logLitres, this.trialLog, this.trialLitres, this.trialShape, this.trialGammaNext] = Array.from(
      { length: 6 },
      () => numbers(cells.length),
    );
    this.moved = new Int32Array(cells.length);
    this.others = new Int32Array(cells.length);
    this.isHeld = new Uint8Array(cells.length);
    [this.entered, this.logLike, this.trialEntered, this.trialLike] = [0, 1, 2, 3].map(() => numbers(findings.length));
    this.touched = new Int32Array(findings.length);
    this.touchedAt = new Int32Array(findings.length);
    this.readBring();
    this.start();
  }

  sweep(): void {
    for (let cell = 0; cell < this.allCells.length; cell++) this.refresh(cell);
    for (let time = 0; time < this.allCells.length; time++) this.split(this.anyFinding());
    for (let time = 0; time < SWAPS; time++) this.swap(this.anyFinding());
    this.scale(this.anyFinding());
    for (let time = 0; time < THETA_STEPS; time++) this.moveTheta();
    for (let source = 0; source < this.own.length; source++) this.moveOwn(source);
    for (let kinship = 0; kinship < this.kinships.length; kinship++) this.moveShared(kinship);
    if (this.model.guessed > 0) this.moveHolds(Math.floor(this.random.uniform() * this.model.guessed));
    this.addUp();
  }

  /** Delivery by finding and source, as the guessed `holds` stand. */
  get delivered(): Float64Array[] {
    return this.delivery.delivered;
  }

  /** Where the chain stands; arrays are the chain's own. */
  state(target: number): State {
    for (let source = 0; source < this.logYield.length; source++) {
      this.litresPerYear[source] = Math.exp(this.logYield[source]);
    }
    const { litresPerYear, logLitres, logLike } = this;
    return { theta: Math.exp(this.logTheta), litresPerYear, delivered: this.delivered[target], logLitres, logLike };
  }

  /** A finding to move the cells of: an amount half of the time, where there is one, for amounts tie cells together. */
  private anyFinding(): number {
    const from = this.amounts.length > 0 && this.random.uniform() < 0.5 ? this.amounts : this.allFindings;
    return from[Math.floor(this.random.uniform() * from.length)];
  }

  /** Starts from the best of some draws of the prior, each brought to the size of the amounts. */
  private start(): void {
    const { findings } = this.evidence;
    let best = Number.NEGATIVE_INFINITY;
    let found = this.logLitres.slice();
    for (let draw = 0; draw < FIRST_DRAWS; draw++) {
      for (const cell of this.allCells) this.put(cell, this.logTheta + logGammaDraw(this.random, this.shape[cell]));
      findings.forEach((each, finding) => {
        const logEntered = this.logEntered(finding);
        if (!isMeasured(each) || logEntered === Number.NEGATIVE_INFINITY) return;
        const by = Math.log(each.litres / this.delivery.holds[finding]) - logEntered;
        for (const cell of this.cellsSeen[finding]) this.put(cell, this.logLitres[cell] + by);
      });
      this.addUp();
      const logLike = this.logLike.reduce((sum, value) => sum + value, 0);
      if (logLike > best || draw === 0) [best, found] = [logLike, this.logLitres.slice()];
    }
    for (const cell of this.allCells) this.put(cell, found[cell]);
    this.addUp();
  }

  /** ln of what entered at a finding, known where the litres themselves underflow. */
  private logEntered(finding: number): number {
    const row = this.delivered[finding];
    const seen = this.cellsSeen[finding];
    const logs = Float64Array.from(seen, (cell) => this.logLitres[cell] + Math.log(row[this.source[cell]]));
    const top = logs.reduce((most, log) => Math.max(most, log), Number.NEGATIVE_INFINITY);
    if (top === Number.NEGATIVE_INFINITY) return top;
    return top + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - top), 0));
  }

  private put(cell: number, logLitres: number): void {
    this.logLitres[cell] = logLitres;
    this.litres[cell] = Math.exp(logLitres);
  }

  private readBring(): void {
    for (let cell = 0; cell < this.source.length; cell++) {
      for (let at = this.seenFrom[cell]; at < this.seenFrom[cell + 1]; at++) {
        this.bring[at] = this.delivered[this.seenBy[at]][this.source[cell]];
      }
    }
  }

  /** Adds up what entered at each finding, from nothing, so that roundings cannot pile up. */
  private addUp(): void {
    const { seenFrom, seenBy, bring, litres, entered } = this;
    const { findings } = this.evidence;
    entered.fill(0);
    for (let cell = 0; cell < litres.length; cell++) {
      for (let at = seenFrom[cell]; at < seenFrom[cell + 1]; at++) entered[seenBy[at]] += bring[at] * litres[cell];
    }
    for (let finding = 0; finding < findings.length; finding++) {
      this.logLike[finding] = logLikelihood(findings[finding], entered[finding], this.delivery.holds[finding]);
    }
  }

  /** Works out what would enter where if the moved cells had the litres of `trialLog`. */
  private enter(): void {
    const { moved, trialLog, trialLitres, litres, seenFrom, seenBy, bring, trialEntered, touched, touchedAt } = this;
    const move = ++this.move;
    let count = 0;
    for (let index = 0; index < this.movedCount; index++) {
      const cell = moved[index];
      trialLitres[cell] = Math.exp(trialLog[cell]);
      const more = trialLitres[cell] - litres[cell];
      for (let at = seenFrom[cell]; at < seenFrom[cell + 1]; at++) {
        const finding = seenBy[at];
        if (touchedAt[finding] !== move) {
          touchedAt[finding] = move;
          touched[count++] = finding;
          trialEntered[finding] = this.entered[finding];
        }
        trialEntered[finding] += bring[at] * more;
      }
    }
    for (let index = 0; index < count; index++) {
      if (trialEntered[touched[index]] < 0) trialEntered[touched[index]] = 0;
    }
    this.touchedCount = count;
  }

  /** Weighs what was entered, likelihood and `logPrior` together. True if it was taken. */
  private weigh(logPrior: number): boolean {
    const { moved, touched, trialEntered, trialLike, logLike, entered, litres, logLitres } = this;
    const { findings } = this.evidence;
    // The most that the ratio can come to, since no likelihood is above 1: most moves are turned down early.
    let most = logPrior - Math.log(this.random.uniform());
    for (let index = 0; index < this.touchedCount; index++) most -= logLike[touched[index]];
    for (let index = 0; index < this.touchedCount; index++) {
      if (most < 0) return false;
      const finding = touched[index];
      trialLike[finding] = logLikelihood(findings[finding], trialEntered[finding], this.delivery.holds[finding]);
      most += trialLike[finding];
    }
    if (!(most >= 0)) return false;
    for (let index = 0; index < this.movedCount; index++) {
      logLitres[moved[index]] = this.trialLog[moved[index]];
      litres[moved[index]] = this.trialLitres[moved[index]];
    }
    for (let index = 0; index < this.touchedCount; index++) {
      entered[touched[index]] = trialEntered[touched[index]];
      logLike[touched[index]] = trialLike[touched[index]];
    }
    return true;
  }

  private refresh(cell: number): void {
    this.trialLog[cell] = this.logTheta + logGammaDraw(this.random, this.shape[cell]);
    this.moved[0] = cell;
    this.movedCount = 1;
    this.enter();
    this.weigh(0);
  }

  /**
   * Two cells of a finding, the first chosen by what it brings, the second evenly, and what they bring together, in
   * `pair`; false where there are no two. The same pair is as likely to be chosen after its split has changed.
   */
  private pickPair(finding: number): boolean {
    const { source, litres, pair } = this;
    const seen = this.cellsSeen[finding];
    const row = this.delivered[finding];
    const entered = this.entered[finding];
    if (seen.length < 2 || !(entered > 0)) return false;
    let rest = this.random.uniform() * entered;
    let at = 0;
    for (; at < seen.length - 1; at++) {
      const brings = row[source[seen[at]]] * litres[seen[at]];
      if (rest <= brings) break;
      rest -= brings;
    }
    const other = (at + 1 + Math.floor(this.random.uniform() * (seen.length - 1))) % seen.length;
    pair.first = seen[at];
    pair.second = seen[other];
    pair.bring1 = row[source[pair.first]];
    pair.bring2 = row[source[pair.second]];
    pair.together = pair.bring1 * litres[pair.first] + pair.bring2 * litres[pair.second];
    return pair.together > 0;
  }

  /** Draws the split of what the pair brings together into `trialLog`, from Beta(shape1, shape2). The pair is what moves. */
  private drawSplit(shape1: number, shape2: number): void {
    const { first, second, bring1, bring2, together } = this.pair;
    const [g1, g2] = [logGammaDraw(this.random, shape1), logGammaDraw(this.random, shape2)];
    const logSum = Math.max(g1, g2) + Math.log1p(Math.exp(-Math.abs(g1 - g2)));
    this.trialLog[first] = g1 - logSum + Math.log(together / bring1);
    this.trialLog[second] = g2 - logSum + Math.log(together / bring2);
    this.moved[0] = first;
    this.moved[1] = second;
    this.movedCount = 2;
  }

  private split(finding: number): void {
    if (!this.pickPair(finding)) return;
    const { first, second } = this.pair;
    this.drawSplit(this.shape[first], this.shape[second]);
    this.enter();
    const { litres, trialLitres } = this;
    const fewer = litres[first] + litres[second] - trialLitres[first] - trialLitres[second];
    this.weigh(fewer / Math.exp(this.logTheta));
  }

  /**
   * A split together with new yields of the two zones and, now and then, a step of θ: what was thought of them while
   * one was the source does not stand in the way of the other.
   */
  private swap(finding: number): void {
    if (!this.pickPair(finding)) return;
    const { first, second } = this.pair;
    const [s1, s2] = [this.source[first], this.source[second]];
    const [spread1, spread2] = [this.ownSpread[s1], this.ownSpread[s2]];
    if (s1 === s2 || spread1 + spread2 === 0) return;
    const theta = this.random.uniform() < THETA_SWAPS ? this.thetaStep() : 0;
    const [next1, next2] = [this.random.normal(), this.random.normal()];
    const [yield1, yield2] = [spread1 * (next1 - this.own[s1]), spread2 * (next2 - this.own[s2])];
    this.growth[s1] = Math.exp(yield1);
    this.growth[s2] = Math.exp(yield2);
    if (this.trySwap(finding, theta)) {
      this.own[s1] = next1;
      this.own[s2] = next2;
      this.logYield[s1] += yield1;
      this.logYield[s2] += yield2;
    }
    this.growth[s1] = 1;
    this.growth[s2] = 1;
  }

  private trySwap(finding: number, theta: number): boolean {
    const { shape, trialShape, trialLitres, litres, logTheta } = this;
    const { first, second, bring1, bring2, together } = this.pair;
    const part = HELD_ABOVE[Math.floor(this.random.uniform() * HELD_ABOVE.length)];
    const shrink = Math.exp(-theta);
    const [a1, a2] = [shape[first], shape[second]];
    const b1 = a1 * this.growth[this.source[first]] * shrink;
    const b2 = a2 * this.growth[this.source[second]] * shrink;
    this.drawSplit(b1, b2);
    const count = this.listOthers(theta !== 0);
    const ratio = this.reshape(this.others, count, { theta, part });
    this.enter();
    if (!this.canGoBack(this.others, count, part)) return false;
    const [log1, log2] = [Math.log(together / bring1) - logTheta, Math.log(together / bring2) - logTheta];
    const size =
      b1 * (log1 - theta) + b2 * (log2 - theta) - logGamma(b1 + b2) - a1 * log1 - a2 * log2 + logGamma(a1 + a2);
    const before = (litres[first] + litres[second]) / Math.exp(logTheta);
    const after = (trialLitres[first] + trialLitres[second]) / Math.exp(logTheta + theta);
    const asLikely = Math.log(this.entered[finding] / this.trialEntered[finding]);
    if (!this.weigh(ratio + size + before - after + asLikely)) return false;
    trialShape[first] = b1;
    trialShape[second] = b2;
    this.trialGammaNext[first] = logGamma(b1 + 1);
    this.trialGammaNext[second] = logGamma(b2 + 1);
    this.others[count] = first;
    this.others[count + 1] = second;
    this.takeShapes(this.others, count + 2, theta);
    return true;
  }

  /** Lists, in `others`, the cells whose shape a swap changes besides the pair's: those of its zones, or all of them. */
  private listOthers(isAll: boolean): number {
    const { first, second } = this.pair;
    const [s1, s2] = [this.source[first], this.source[second]];
    let count = 0;
    for (let cell = 0; cell < this.source.length; cell++) {
      const isTheirs = this.source[cell] === s1 || this.source[cell] === s2;
      if ((isAll || isTheirs) && cell !== first && cell !== second) this.others[count++] = cell;
    }
    return count;
  }

  private scale(finding: number): void {
    const seen = this.cellsSeen[finding];
    const by = SCALE_STEP * this.random.normal();
    let [shapes, litres] = [0, 0];
    for (let at = 0; at < seen.length; at++) {
      const cell = seen[at];
      shapes += this.shape[cell];
      litres += this.litres[cell];
      this.trialLog[cell] = this.logLitres[cell] + by;
      this.moved[at] = cell;
    }
    this.movedCount = seen.length;
    this.enter();
    this.weigh(shapes * by - (Math.expm1(by) * litres) / Math.exp(this.logTheta));
  }

  /** Whether a cell with these litres brings more than a part of some finding, before the move or after it. */
  private bringsMore(cell: number, litres: number, { part, isAfter }: { part: number; isAfter: boolean }): boolean {
    const { seenFrom, seenBy, bring, entered, trialEntered, touchedAt, move } = this;
    for (let at = seenFrom[cell]; at < seenFrom[cell + 1]; at++) {
      const finding = seenBy[at];
      const all = isAfter && touchedAt[finding] === move ? trialEntered[finding] : entered[finding];
      if (bring[at] * litres > part * all) return true;
    }
    return false;
  }

  /** Changes ln θ by a step, and yields by `growth`, in some cells; true if it was taken. */
  private moveShapes(cells: Int32Array, theta: number): boolean {
    const part = HELD_ABOVE[Math.floor(this.random.uniform() * HELD_ABOVE.length)];
    this.movedCount = 0;
    const ratio = this.reshape(cells, cells.length, { theta, part });
    this.enter();
    if (!this.canGoBack(cells, cells.length, part) || !this.weigh(ratio)) return false;
    this.takeShapes(cells, cells.length, theta);
    return true;
  }

  private takeShapes(cells: Int32Array, count: number, theta: number): void {
    this.logTheta += theta;
    for (let at = 0; at < count; at++) {
      this.shape[cells[at]] = this.trialShape[cells[at]];
      this.logGammaNext[cells[at]] = this.trialGammaNext[cells[at]];
    }
  }

  /** For new shapes: adds the cells that follow to those that move, and returns the log ratio of the priors. */
  private reshape(cells: Int32Array, count: number, { theta, part }: { theta: number; part: number }): number {
    const { shape, trialShape, logGammaNext, trialGammaNext, litres, logLitres, trialLog, isHeld } = this;
    const [before, after] = [this.logTheta, this.logTheta + theta];
    const [perBefore, perAfter, shrink] = [Math.exp(-before), Math.exp(-after), Math.exp(-theta)];
    const way = { part, isAfter: false };
    let ratio = 0;
    for (let at = 0; at < count; at++) {
      const cell = cells[at];
      const a = shape[cell];
      const b = a * this.growth[this.source[cell]] * shrink;
      const log = logLitres[cell] - before;
      trialShape[cell] = b;
      trialGammaNext[cell] = logGamma(b + 1);
      const gammas = trialGammaNext[cell] - logGammaNext[cell];
      if (this.bringsMore(cell, litres[cell], way)) {
        isHeld[cell] = 1;
        // ln Γ(a) is ln Γ(a + 1) − ln a.
        ratio += b * (log - theta) - a * log - litres[cell] * (perAfter - perBefore) - gammas + Math.log(b / a);
      } else {
        isHeld[cell] = 0;
        trialLog[cell] = after + (a * log + gammas) / b;
        ratio += litres[cell] * perBefore - Math.exp(trialLog[cell]) * perAfter;
        this.moved[this.movedCount++] = cell;
      }
    }
    return ratio;
  }

  /** Whether the same cells would be held on the way back. */
  private canGoBack(cells: Int32Array, count: number, part: number): boolean {
    const way = { part, isAfter: true };
    for (let at = 0; at < count; at++) {
      const cell = cells[at];
      const wasHeld = this.isHeld[cell] === 1;
      if (this.bringsMore(cell, wasHeld ? this.litres[cell] : this.trialLitres[cell], way) !== wasHeld) return false;
    }
    return true;
  }

  /** A step of this form leaves a standard normal prior as it is. */
  private step(now: number): number {
    const length = STEPS[Math.floor(this.random.uniform() * STEPS.length)];
    return Math.sqrt(1 - length ** 2) * now + length * this.random.normal();
  }

  /** A step of ln θ that leaves its prior as it is; 0 where θ is known. */
  private thetaStep(): number {
    if ('litres' in this.release) return 0;
    const [middle, spread] = [Math.log(this.release.median), Math.log(this.release.factor)];
    return middle + spread * this.step((this.logTheta - middle) / spread) - this.logTheta;
  }

  private moveTheta(): void {
    if (!('litres' in this.release)) this.moveShapes(this.allCells, this.thetaStep());
  }

  private moveOwn(source: number): void {
    const spread = this.ownSpread[source];
    if (spread === 0) return;
    const next = this.step(this.own[source]);
    const yields = spread * (next - this.own[source]);
    this.growth[source] = Math.exp(yields);
    if (this.moveShapes(this.cellsOf[source], 0)) {
      this.own[source] = next;
      this.logYield[source] += yields;
    }
    this.growth[source] = 1;
  }

  private moveShared(kinship: number): void {
    const { sources, cells, spread } = this.kinships[kinship];
    const next = this.step(this.shared[kinship]);
    const yields = spread * (next - this.shared[kinship]);
    for (const source of sources) this.growth[source] = Math.exp(yields);
    if (this.moveShapes(cells, 0)) {
      this.shared[kinship] = next;
      for (const source of sources) this.logYield[source] += yields;
    }
    for (const source of sources) this.growth[source] = 1;
  }

  private moveHolds(guess: number): void {
    const before = this.stray[guess];
    this.trialEntered.set(this.entered);
    this.trialLike.set(this.logLike);
    this.stray[guess] = this.step(before);
    this.model.into(this.stray, this.spareDelivery);
    this.swapDelivery();
    this.addUp();
    let ratio = 0;
    for (let finding = 0; finding < this.logLike.length; finding++) {
      ratio += this.logLike[finding] - this.trialLike[finding];
    }
    if (Math.log(this.random.uniform()) <= ratio) return;
    this.stray[guess] = before;
    this.swapDelivery();
    this.entered.set(this.trialEntered);
    this.logLike.set(this.trialLike);
  }

  private swapDelivery(): void {
    [this.delivery, this.spareDelivery] = [this.spareDelivery, this.delivery];
    this.readBring();
  }
}
