import type { Random } from '../../../algorithms/index.ts';
import { logLikelihood } from '../../model/likelihood.ts';
import type { ChainState } from './state.ts';

/** Two cells of a finding, what a litre of each brings to it, and what they bring together. */
interface Pair {
  first: number;
  second: number;
  bring1: number;
  bring2: number;
  together: number;
}

/**
 * A move that is being weighed: cells that would get other litres, and what would then enter at the findings that see
 * them. It is taken with the chance of Metropolis et al. (1953) and Hastings (1970): the smaller of 1 and the ratio of the
 * posterior after to before, times the ratio of the chances of proposing the way back and the way there. Only findings that
 * the move touches are looked at.
 *
 * A move writes here what it would have, calls `enter`, then `weigh` with its own part of the ratio. Until it is taken the state stays
 * as it was, so a move that is turned down has nothing to undo. Likelihoods of findings it does not touch are the same
 * before and after and drop out of the ratio, which makes the cost of a move that of its cells and not of the yard.
 */
export class Trial {
  /** Cells that move, so many of them, and what they would hold: ln litres, and litres. */
  readonly moved: Int32Array;
  movedCount = 0;
  readonly logLitres: Float64Array;
  readonly litres: Float64Array;
  /** What the shapes of cells would become, and ln Γ(shape + 1). */
  readonly shape: Float64Array;
  readonly logGammaNext: Float64Array;
  /** The two cells of a split. */
  readonly pair: Pair = { first: 0, second: 0, bring1: 0, bring2: 0, together: 0 };
  /** By which factor the move changes the yield of each source; 1 outside a move. */
  readonly growth: Float64Array;
  /** What would enter at a finding that is touched, and the log likelihood of that. */
  readonly entered: Float64Array;
  readonly logLike: Float64Array;

  /** Findings that the move touches; one is touched where `touchedAt` is the number of this move. */
  private readonly touched: Int32Array;
  private touchedCount = 0;
  private readonly touchedAt: Int32Array;
  private number = 0;

  constructor(
    readonly state: ChainState,
    readonly random: Random,
  ) {
    const { cells, sources, findings } = state.evidence;
    this.moved = new Int32Array(cells.length);
    this.logLitres = new Float64Array(cells.length);
    this.litres = new Float64Array(cells.length);
    this.shape = new Float64Array(cells.length);
    this.logGammaNext = new Float64Array(cells.length);
    this.growth = new Float64Array(sources.length).fill(1);
    this.entered = new Float64Array(findings.length);
    this.logLike = new Float64Array(findings.length);
    this.touched = new Int32Array(findings.length);
    this.touchedAt = new Int32Array(findings.length);
  }

  /**
   * Works out what would enter where if the moved cells had the litres of `logLitres`. O(moved cells × their findings).
   *
   * Differences are added to what entered before, so a sum may end a rounding below 0, which is put right; roundings that
   * pile up over a sweep are thrown away at its end, when `addUp` begins from nothing.
   */
  enter(): void {
    const { state, moved, logLitres, litres, entered, touched, touchedAt } = this;
    const { bring, litres: oldLitres, entered: oldEntered } = state;
    const { seenFrom, seenBy } = state.layout;
    const number = ++this.number;
    let count = 0;
    for (let index = 0; index < this.movedCount; index++) {
      const cell = moved[index];
      litres[cell] = Math.exp(logLitres[cell]);
      const more = litres[cell] - oldLitres[cell];
      for (let at = seenFrom[cell]; at < seenFrom[cell + 1]; at++) {
        const finding = seenBy[at];
        if (touchedAt[finding] !== number) {
          touchedAt[finding] = number;
          touched[count++] = finding;
          entered[finding] = oldEntered[finding];
        }
        entered[finding] += bring[at] * more;
      }
    }
    for (let index = 0; index < count; index++) {
      if (entered[touched[index]] < 0) entered[touched[index]] = 0;
    }
    this.touchedCount = count;
  }

  /** What would enter at a finding after this move. */
  enteredAfter(finding: number): number {
    return this.touchedAt[finding] === this.number ? this.entered[finding] : this.state.entered[finding];
  }

  /**
   * Weighs what was entered: likelihood, and `logRatio`, ln of all else in the chance of being taken: priors, proposals and
   * Jacobians, as each move works them out. Litres and what enters are written to the state if it was taken; true then.
   * A ratio that is no number is never taken. O(findings touched + moved cells).
   */
  weigh(logRatio: number): boolean {
    const { state, moved, touched, logLike, entered } = this;
    const { litres, logLitres, entered: oldEntered, logLike: oldLogLike, said } = state;
    const { holds } = state.delivery;
    // A move is taken where ln(uniform) ≤ ln(ratio); both sides are kept in logarithms, for likelihoods go down to e^−744.
    // The most that the ratio can come to, since no likelihood is above 1: most moves are turned down early.
    let most = logRatio - Math.log(this.random.uniform());
    for (let index = 0; index < this.touchedCount; index++) most -= oldLogLike[touched[index]];
    for (let index = 0; index < this.touchedCount; index++) {
      if (most < 0) return false;
      const finding = touched[index];
      logLike[finding] = logLikelihood(said[finding], entered[finding], holds[finding]);
      most += logLike[finding];
    }
    if (!(most >= 0)) return false;
    for (let index = 0; index < this.movedCount; index++) {
      logLitres[moved[index]] = this.logLitres[moved[index]];
      litres[moved[index]] = this.litres[moved[index]];
    }
    for (let index = 0; index < this.touchedCount; index++) {
      oldEntered[touched[index]] = entered[touched[index]];
      oldLogLike[touched[index]] = logLike[touched[index]];
    }
    return true;
  }
}
