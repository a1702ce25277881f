import { logGamma, logGammaDraw, type Random } from '../algorithms/index.ts';
import type { DeliveryModel } from './delivery-model.ts';
import type { Evidence } from './evidence.ts';
import { logLikelihood } from './likelihood.ts';

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
 * Every move leaves the posterior as it is. A sweep is O(cells × findings + edges upstream).
 */
export class Chain {
  /** Litres of each cell, and their logarithms, which do not underflow. */
  readonly litres: Float64Array;
  readonly logLitres: Float64Array;
  readonly logYield: Float64Array;
  logTheta: number;
  delivered: Float64Array[];

  private readonly shape: Float64Array;
  private readonly ownSpread: Float64Array;
  private readonly own: Float64Array;
  private readonly shared: Float64Array;
  private readonly stray: Float64Array;
  private holds: Float64Array;
  /** Litres that entered at each finding, and the log likelihood of that; then the same for a move being weighed. */
  private entered: Float64Array;
  private logLike: Float64Array;
  private trialEntered: Float64Array;
  private trialLike: Float64Array;
  private readonly trialLog: Float64Array;
  private readonly isHeld: Uint8Array;

  private readonly allCells: readonly number[];
  private readonly allFindings: readonly number[];
  private readonly amounts: readonly number[];
  private readonly cellsOf: readonly (readonly number[])[];
  private readonly cellsSeen: readonly (readonly number[])[];
  /** Zones whose yields share a factor, with its size, and their cells. */
  private readonly kinships: { sources: number[]; cells: number[]; spread: number }[] = [];

  constructor(
    private readonly evidence: Evidence,
    private readonly model: DeliveryModel,
    private readonly release: ReleasePrior,
    private readonly random: Random,
  ) {
    const { cells, sources, findings } = evidence;
    this.allCells = cells.map((_, cell) => cell);
    this.allFindings = findings.map((_, finding) => finding);
    this.amounts = this.allFindings.filter((finding) => findings[finding].seen === 'amount');
    this.cellsOf = sources.map((_, source) => this.allCells.filter((cell) => cells[cell].source === source));
    this.cellsSeen = findings.map((_, finding) => this.allCells.filter((cell) => cells[cell].seenBy.includes(finding)));
    this.logTheta = Math.log('litres' in release ? release.litres : release.median);
    this.logYield = Float64Array.from(sources, ({ litresPerYear }) => Math.log(litresPerYear));
    this.shape = Float64Array.from(
      cells,
      ({ source, years }) => Math.exp(this.logYield[source] - this.logTheta) * years,
    );
    this.ownSpread = Float64Array.from(sources, ({ roughness }) => roughness.own);
    this.findKinships();
    this.own = new Float64Array(sources.length);
    this.shared = new Float64Array(this.kinships.length);
    this.stray = new Float64Array(model.guessed);
    [this.litres, this.logLitres, this.trialLog] = [0, 1, 2].map(() => new Float64Array(cells.length));
    [this.entered, this.logLike, this.trialEntered, this.trialLike] = [0, 1, 2, 3].map(
      () => new Float64Array(findings.length),
    );
    this.isHeld = new Uint8Array(cells.length);
    ({ delivered: this.delivered, holds: this.holds } = model.at(this.stray));
    this.start();
  }

  sweep(): void {
    const { sources } = this.evidence;
    for (const cell of this.allCells) this.refresh(cell);
    for (let time = 0; time < this.allCells.length; time++) this.split(this.anyFinding());
    for (let time = 0; time < SWAPS; time++) this.swap(this.anyFinding());
    this.scale(this.anyFinding());
    for (let time = 0; time < THETA_STEPS; time++) this.moveTheta();
    for (let source = 0; source < sources.length; source++) this.moveOwn(source);
    for (let kinship = 0; kinship < this.kinships.length; kinship++) this.moveShared(kinship);
    if (this.model.guessed > 0) this.moveHolds(Math.floor(this.random.uniform() * this.model.guessed));
    this.addUp();
  }

  /** A finding to move the cells of: an amount half of the time, where there is one, for amounts tie cells together. */
  private anyFinding(): number {
    const from = this.amounts.length > 0 && this.random.uniform() < 0.5 ? this.amounts : this.allFindings;
    return from[Math.floor(this.random.uniform() * from.length)];
  }

  /** ln of how well the chain's present state explains one finding. */
  explains(finding: number): number {
    return this.logLike[finding];
  }

  private findKinships(): void {
    const { sources } = this.evidence;
    const byActivity = new Map<string, number[]>();
    sources.forEach(({ zone, roughness }, source) => {
      if (!zone || roughness.activity === 0) return;
      const { activity } = zone.properties;
      byActivity.set(activity, [...(byActivity.get(activity) ?? []), source]);
    });
    for (const kin of byActivity.values()) {
      // One alone of its activity has nobody to share a factor with: it is all its own.
      if (kin.length === 1) {
        this.ownSpread[kin[0]] = Math.hypot(this.ownSpread[kin[0]], sources[kin[0]].roughness.activity);
        continue;
      }
      const cells = kin.flatMap((source) => this.cellsOf[source]);
      this.kinships.push({ sources: kin, cells, spread: sources[kin[0]].roughness.activity });
    }
  }

  /** Starts from the best of some draws of the prior, each brought to the size of the amounts. */
  private start(): void {
    const { findings } = this.evidence;
    let best = Number.NEGATIVE_INFINITY;
    let found = this.logLitres.slice();
    for (let draw = 0; draw < FIRST_DRAWS; draw++) {
      for (const cell of this.allCells) this.put(cell, this.logTheta + logGammaDraw(this.random, this.shape[cell]));
      findings.forEach(({ seen, litres }, finding) => {
        const logEntered = this.logEntered(finding);
        if (seen !== 'amount' || logEntered === Number.NEGATIVE_INFINITY) return;
        const by = Math.log(litres / this.holds[finding]) - logEntered;
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
    const { cells } = this.evidence;
    const logs = this.cellsSeen[finding].map(
      (cell) => this.logLitres[cell] + Math.log(this.delivered[finding][cells[cell].source]),
    );
    const top = logs.reduce((most, log) => Math.max(most, log), Number.NEGATIVE_INFINITY);
    if (top === Number.NEGATIVE_INFINITY) return top;
    return top + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - top), 0));
  }

  private put(cell: number, logLitres: number): void {
    this.logLitres[cell] = logLitres;
    this.litres[cell] = Math.exp(logLitres);
  }

  /** Adds up what entered at each finding, from nothing, so that roundings cannot pile up. */
  private addUp(): void {
    const { cells, findings } = this.evidence;
    this.entered.fill(0);
    for (const cell of this.allCells) {
      const { source, seenBy } = cells[cell];
      for (const finding of seenBy) this.entered[finding] += this.delivered[finding][source] * this.litres[cell];
    }
    for (let finding = 0; finding < findings.length; finding++) {
      this.logLike[finding] = logLikelihood(findings[finding], this.entered[finding], this.holds[finding]);
    }
  }

  private accepts(logRatio: number): boolean {
    return logRatio >= 0 || Math.log(this.random.uniform()) < logRatio;
  }

  /** Weighs new litres (`trialLog`) in the given cells: likelihood and `logPrior` together. True if they were taken. */
  private weigh(moved: readonly number[], logPrior: number): boolean {
    const { cells, findings } = this.evidence;
    this.trialEntered.set(this.entered);
    for (const cell of moved) {
      const { source, seenBy } = cells[cell];
      const more = Math.exp(this.trialLog[cell]) - this.litres[cell];
      for (const finding of seenBy) this.trialEntered[finding] += this.delivered[finding][source] * more;
    }
    let ratio = logPrior;
    for (let finding = 0; finding < findings.length; finding++) {
      const isSame = this.trialEntered[finding] === this.entered[finding];
      if (this.trialEntered[finding] < 0) this.trialEntered[finding] = 0;
      this.trialLike[finding] = isSame
        ? this.logLike[finding]
        : logLikelihood(findings[finding], this.trialEntered[finding], this.holds[finding]);
      ratio += this.trialLike[finding] - this.logLike[finding];
    }
    if (!this.accepts(ratio)) return false;
    for (const cell of moved) this.put(cell, this.trialLog[cell]);
    [this.entered, this.trialEntered] = [this.trialEntered, this.entered];
    [this.logLike, this.trialLike] = [this.trialLike, this.logLike];
    return true;
  }

  private refresh(cell: number): void {
    this.trialLog[cell] = this.logTheta + logGammaDraw(this.random, this.shape[cell]);
    this.weigh([cell], 0);
  }

  /**
   * Two cells of a finding, the first chosen by what it brings, the second evenly, and what they bring together; null
   * where there are no two. The same pair is as likely to be chosen after its split has changed.
   */
  private pickPair(
    finding: number,
  ): { first: number; second: number; bring: [number, number]; together: number } | null {
    const { cells } = this.evidence;
    const seen = this.cellsSeen[finding];
    const [delivered, entered] = [this.delivered[finding], this.entered[finding]];
    if (seen.length < 2 || !(entered > 0)) return null;
    let rest = this.random.uniform() * entered;
    let at = 0;
    while (at < seen.length - 1 && rest > delivered[cells[seen[at]].source] * this.litres[seen[at]]) {
      rest -= delivered[cells[seen[at]].source] * this.litres[seen[at]];
      at++;
    }
    const other = (at + 1 + Math.floor(this.random.uniform() * (seen.length - 1))) % seen.length;
    const [first, second] = [seen[at], seen[other]];
    const bring: [number, number] = [delivered[cells[first].source], delivered[cells[second].source]];
    const together = bring[0] * this.litres[first] + bring[1] * this.litres[second];
    return together > 0 ? { first, second, bring, together } : null;
  }

  /** Draws the split of what a pair brings together into `trialLog`, from Beta(shape1, shape2). */
  private drawSplit(
    { first, second, bring, together }: NonNullable<ReturnType<Chain['pickPair']>>,
    shape1: number,
    shape2: number,
  ): void {
    const [g1, g2] = [logGammaDraw(this.random, shape1), logGammaDraw(this.random, shape2)];
    const logSum = Math.max(g1, g2) + Math.log1p(Math.exp(-Math.abs(g1 - g2)));
    this.trialLog[first] = g1 - logSum + Math.log(together / bring[0]);
    this.trialLog[second] = g2 - logSum + Math.log(together / bring[1]);
  }

  private split(finding: number): void {
    const pair = this.pickPair(finding);
    if (!pair) return;
    const { first, second } = pair;
    this.drawSplit(pair, this.shape[first], this.shape[second]);
    const fewer =
      this.litres[first] + this.litres[second] - Math.exp(this.trialLog[first]) - Math.exp(this.trialLog[second]);
    this.weigh([first, second], fewer / Math.exp(this.logTheta));
  }

  /**
   * A split together with new yields of the two zones and, now and then, a step of θ: what was thought of them while
   * one was the source does not stand in the way of the other.
   */
  private swap(finding: number): void {
    const pair = this.pickPair(finding);
    if (!pair) return;
    const { cells } = this.evidence;
    const { first, second, bring, together } = pair;
    const [s1, s2] = [cells[first].source, cells[second].source];
    const [spread1, spread2] = [this.ownSpread[s1], this.ownSpread[s2]];
    if (s1 === s2 || spread1 + spread2 === 0) return;
    const theta = this.random.uniform() < THETA_SWAPS ? this.thetaStep() : 0;
    const next = [this.random.normal(), this.random.normal()];
    const yields = [spread1 * (next[0] - this.own[s1]), spread2 * (next[1] - this.own[s2])];
    const touched = theta === 0 ? [...this.cellsOf[s1], ...this.cellsOf[s2]] : this.allCells;
    const others = touched.filter((cell) => cell !== first && cell !== second);
    const part = HELD_ABOVE[Math.floor(this.random.uniform() * HELD_ABOVE.length)];
    const logFactor = (cell: number) =>
      cells[cell].source === s1 ? yields[0] : cells[cell].source === s2 ? yields[1] : 0;
    const { ratio, follow } = this.reshape(others, { theta, logFactor, part });
    const [a1, a2] = [this.shape[first], this.shape[second]];
    const [b1, b2] = [a1 * Math.exp(yields[0] - theta), a2 * Math.exp(yields[1] - theta)];
    this.drawSplit(pair, b1, b2);
    const [log1, log2] = bring.map((each) => Math.log(together / each) - this.logTheta);
    const size =
      b1 * (log1 - theta) + b2 * (log2 - theta) - logGamma(b1 + b2) - a1 * log1 - a2 * log2 + logGamma(a1 + a2);
    const litres = (this.litres[first] + this.litres[second]) / Math.exp(this.logTheta);
    const newLitres =
      (Math.exp(this.trialLog[first]) + Math.exp(this.trialLog[second])) / Math.exp(this.logTheta + theta);
    const moved = [first, second, ...follow];
    if (!this.canGoBack(others, moved, part)) return;
    const asLikely = Math.log(this.entered[finding] / this.trialEntered[finding]);
    if (!this.weigh(moved, ratio + size + litres - newLitres + asLikely)) return;
    this.logTheta += theta;
    for (const cell of touched) this.shape[cell] *= Math.exp(logFactor(cell) - theta);
    for (const [at, source] of [s1, s2].entries()) {
      this.own[source] = next[at];
      this.logYield[source] += yields[at];
    }
  }

  private scale(finding: number): void {
    const seen = this.cellsSeen[finding];
    const by = SCALE_STEP * this.random.normal();
    let [shapes, litres] = [0, 0];
    for (const cell of seen) {
      shapes += this.shape[cell];
      litres += this.litres[cell];
      this.trialLog[cell] = this.logLitres[cell] + by;
    }
    this.weigh(seen, shapes * by - (Math.expm1(by) * litres) / Math.exp(this.logTheta));
  }

  /** Whether a cell brings more than a part of some finding. */
  private bringsMore(
    cell: number,
    litres: number,
    { part, entered }: { part: number; entered: Float64Array },
  ): boolean {
    const { source, seenBy } = this.evidence.cells[cell];
    for (const finding of seenBy) if (this.delivered[finding][source] * litres > part * entered[finding]) return true;
    return false;
  }

  /** Changes ln θ by one step and ln yield of the cells' sources by another; true if it was taken. */
  private moveShapes(
    moved: readonly number[],
    { theta = 0, yields = 0 }: { theta?: number; yields?: number },
  ): boolean {
    const part = HELD_ABOVE[Math.floor(this.random.uniform() * HELD_ABOVE.length)];
    const { ratio, follow } = this.reshape(moved, { theta, logFactor: () => yields, part });
    if (!this.canGoBack(moved, follow, part) || !this.weigh(follow, ratio)) return false;
    this.logTheta += theta;
    for (const cell of moved) this.shape[cell] *= Math.exp(yields - theta);
    return true;
  }

  /** For new shapes: which cells follow, with their litres in `trialLog`, and the log ratio of the priors. */
  private reshape(
    moved: readonly number[],
    { theta, logFactor, part }: { theta: number; logFactor: (cell: number) => number; part: number },
  ) {
    const [before, after] = [this.logTheta, this.logTheta + theta];
    const [perBefore, perAfter] = [Math.exp(-before), Math.exp(-after)];
    const follow: number[] = [];
    let ratio = 0;
    for (const cell of moved) {
      const [a, b] = [this.shape[cell], this.shape[cell] * Math.exp(logFactor(cell) - theta)];
      const [log, litres] = [this.logLitres[cell], this.litres[cell]];
      this.isHeld[cell] = this.bringsMore(cell, litres, { part, entered: this.entered }) ? 1 : 0;
      if (this.isHeld[cell] === 1) {
        ratio +=
          b * (log - after) - litres * perAfter - logGamma(b) - a * (log - before) + litres * perBefore + logGamma(a);
      } else {
        this.trialLog[cell] = after + (a * (log - before) - logGamma(a + 1) + logGamma(b + 1)) / b;
        ratio += litres * perBefore - Math.exp(this.trialLog[cell]) * perAfter;
        follow.push(cell);
      }
    }
    return { ratio, follow };
  }

  /** Whether the same cells would be held on the way back. */
  private canGoBack(moved: readonly number[], changed: readonly number[], part: number): boolean {
    const { cells } = this.evidence;
    const entered = this.trialEntered;
    entered.set(this.entered);
    for (const cell of changed) {
      const more = Math.exp(this.trialLog[cell]) - this.litres[cell];
      for (const finding of cells[cell].seenBy) entered[finding] += this.delivered[finding][cells[cell].source] * more;
    }
    return moved.every((cell) => {
      const litres = this.isHeld[cell] === 1 ? this.litres[cell] : Math.exp(this.trialLog[cell]);
      return this.bringsMore(cell, litres, { part, entered }) === (this.isHeld[cell] === 1);
    });
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
    if (!('litres' in this.release)) this.moveShapes(this.allCells, { theta: this.thetaStep() });
  }

  private moveOwn(source: number): void {
    const spread = this.ownSpread[source];
    if (spread === 0) return;
    const next = this.step(this.own[source]);
    const yields = spread * (next - this.own[source]);
    if (!this.moveShapes(this.cellsOf[source], { yields })) return;
    this.own[source] = next;
    this.logYield[source] += yields;
  }

  private moveShared(kinship: number): void {
    const { sources, cells, spread } = this.kinships[kinship];
    const next = this.step(this.shared[kinship]);
    const yields = spread * (next - this.shared[kinship]);
    if (!this.moveShapes(cells, { yields })) return;
    this.shared[kinship] = next;
    for (const source of sources) this.logYield[source] += yields;
  }

  private moveHolds(guess: number): void {
    const before = { stray: this.stray[guess], delivered: this.delivered, holds: this.holds };
    this.trialEntered.set(this.entered);
    this.trialLike.set(this.logLike);
    this.stray[guess] = this.step(before.stray);
    ({ delivered: this.delivered, holds: this.holds } = this.model.at(this.stray));
    this.addUp();
    const ratio = this.logLike.reduce((sum, value, finding) => sum + value - this.trialLike[finding], 0);
    if (this.accepts(ratio)) return;
    this.stray[guess] = before.stray;
    this.delivered = before.delivered;
    this.holds = before.holds;
    this.entered.set(this.trialEntered);
    this.logLike.set(this.trialLike);
  }
}
