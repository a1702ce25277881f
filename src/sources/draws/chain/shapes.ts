import { logGamma, type Random } from '../../../algorithms/index.ts';
import type { Trial } from './trial.ts';

/*
 * Moves of θ and yields: shapes change. Cells that bring more than some part of a finding keep their litres; the others keep
 * u = (x/θ)^a / Γ(a + 1), whose prior density exp(−x/θ) knows nothing of a, so that they follow. To hold what the
 * findings fix and let the rest follow is the partly non-centred form of Papaspiliopoulos, Roberts and Sköld (2007). A step after
 * which other cells would be held is not taken, for it could not be taken back.
 *
 * Why u: y = x/θ has the density y^(a−1)·e^(−y) / Γ(a), and du/dy = y^(a−1) / Γ(a), so that over u the density is e^(−y). Small
 * y are the rule for small shapes, and there u is about uniform on 0 to 1 whatever a is. Were x kept where no finding holds
 * it, each step of a shape would have to agree with litres that were drawn for the old one: with many cells no step of any size
 * would be taken. Were u kept where a finding fixes x, the step would tear up the fit to the finding.
 *
 * A move is thus a map of what is kept (x of held cells, u of the rest) together with a step of what has a normal prior.
 * The step leaves that prior as it is, so its own terms cancel, and the ratio has only the densities of x and u.
 */

/** Parts of a finding above which a cell is held fast while shapes change; 0 holds all, which suits seepage. */
const HELD_ABOVE = [0, 1e-3, 0.03, 0.3];
/** Lengths of steps for what has a normal prior, as parts of it; drawn for every step. */
const STEPS = [0.15, 0.4, 0.8];

/**
 * A step of this form, z' = √(1 − s²)·z + s·ξ, leaves a standard normal prior as it is (Neal 1999; Cotter et al. 2013): z and z'
 * are jointly normal, each of variance 1, and alike under exchange. So the way back is as likely as the way there
 * under the prior, and a move of z needs neither the prior nor the proposal in its ratio. The length s is drawn
 * without regard to z, which keeps that so. `now` is the standard normal number; O(1).
 */
export function stepNormal(random: Random, now: number): number {
  const length = STEPS[Math.floor(random.uniform() * STEPS.length)];
  return Math.sqrt(1 - length ** 2) * now + length * random.normal();
}

/** A step of ln θ that leaves its prior, log-normal with the given median and factor, as it is; 0 where θ is known. */
export function thetaStep({ state: { release, logTheta }, random }: Trial): number {
  if ('litres' in release) return 0;
  const middle = Math.log(release.median);
  const spread = Math.log(release.factor);
  return middle + spread * stepNormal(random, (logTheta - middle) / spread) - logTheta;
}

/** Some cells whose shapes change, by how much ln θ steps, and the part of a finding above which a cell is held. */
export interface Reshaping {
  cells: Int32Array;
  count: number;
  theta: number;
  part: number;
}

/** Draws the part anew for each move, without regard to the state, so that the way back is tried with the same chance. */
export const heldPart = (random: Random) => HELD_ABOVE[Math.floor(random.uniform() * HELD_ABOVE.length)];

/** The moves of θ and yields; they keep which cells were held. */
export class Shapes {
  private readonly isHeld: Uint8Array;

  constructor(private readonly trial: Trial) {
    this.isHeld = new Uint8Array(trial.moved.length);
  }

  /** A step of θ, which changes the shape of every cell: a = yield × years ÷ θ. */
  moveTheta(): void {
    const { state } = this.trial;
    if (!('litres' in state.release)) this.move(state.layout.allCells, thetaStep(this.trial));
  }

  /** A source's own factor, from its standard normal number. */
  moveOwn(source: number): void {
    const { state, growth, random } = this.trial;
    const spread = state.layout.ownSpread[source];
    if (spread === 0) return;
    const next = stepNormal(random, state.own[source]);
    const yields = spread * (next - state.own[source]);
    growth[source] = Math.exp(yields);
    if (this.move(state.layout.cellsOf[source], 0)) {
      state.own[source] = next;
      state.logYield[source] += yields;
    }
    growth[source] = 1;
  }

  /** The factor that the zones of an activity share: one number, but the shapes of all their cells. */
  moveShared(kinship: number): void {
    const { state, growth, random } = this.trial;
    const { sources, cells, spread } = state.layout.kinships[kinship];
    const next = stepNormal(random, state.shared[kinship]);
    const yields = spread * (next - state.shared[kinship]);
    for (const source of sources) growth[source] = Math.exp(yields);
    if (this.move(cells, 0)) {
      state.shared[kinship] = next;
      for (const source of sources) state.logYield[source] += yields;
    }
    for (const source of sources) growth[source] = 1;
  }

  /** Changes ln θ by a step, and yields by `growth`, in some cells; true if it was taken. */
  private move(cells: Int32Array, theta: number): boolean {
    const { trial } = this;
    const change = { cells, count: cells.length, theta, part: heldPart(trial.random) };
    trial.movedCount = 0;
    const ratio = this.reshape(change);
    trial.enter();
    if (!this.canGoBack(change) || !trial.weigh(ratio)) return false;
    this.take(change);
    return true;
  }

  /**
   * For new shapes: adds the cells that follow to those that move, and returns the log ratio of the priors. With y = x/θ, a
   * held cell has ln of b·y'^b/Γ(b+1)·e^(−y') against a·y^a/Γ(a+1)·e^(−y), both over ln x; one that follows e^(−y') against e^(−y).
   * Held cells may be taken over ln x as well as over x, since x does not change and dx/d ln x is the same on both sides.
   *
   * A cell that follows has y'^b/Γ(b+1) = y^a/Γ(a+1); solved for ln y' that is (a·ln y + ln Γ(b+1) − ln Γ(a+1)) ÷ b. It is
   * done in logarithms throughout, and ln Γ(a + 1) is kept rather than ln Γ(a), which runs off to infinity for small a.
   */
  reshape({ cells, count, theta, part }: Reshaping): number {
    const { isHeld, trial } = this;
    const { state, growth, moved, shape: newShape, logGammaNext: newLogGammaNext, logLitres: newLogLitres } = trial;
    const { shape, logGammaNext, litres, logLitres } = state;
    const { source } = state.layout;
    let { movedCount } = trial;
    const before = state.logTheta;
    const after = before + theta;
    const perBefore = Math.exp(-before);
    const perAfter = Math.exp(-after);
    const shrink = Math.exp(-theta);
    let ratio = 0;
    for (let at = 0; at < count; at++) {
      const cell = cells[at];
      const a = shape[cell];
      const b = a * growth[source[cell]] * shrink;
      const log = logLitres[cell] - before;
      newShape[cell] = b;
      newLogGammaNext[cell] = logGamma(b + 1);
      const gammas = newLogGammaNext[cell] - logGammaNext[cell];
      if (this.bringsMoreNow(cell, part)) {
        isHeld[cell] = 1;
        // ln Γ(a) is ln Γ(a + 1) − ln a.
        ratio += b * (log - theta) - a * log - litres[cell] * (perAfter - perBefore) - gammas + Math.log(b / a);
      } else {
        isHeld[cell] = 0;
        newLogLitres[cell] = after + (a * log + gammas) / b;
        ratio += litres[cell] * perBefore - Math.exp(newLogLitres[cell]) * perAfter;
        moved[movedCount++] = cell;
      }
    }
    trial.movedCount = movedCount;
    return ratio;
  }

  /**
   * Whether the same cells would be held on the way back. Which cells are held is read off the state, and a move
   * between two states that would choose differently is no map and back: its reverse would not be proposed at all, so
   * its chance of being taken is 0. Called after `enter`, since it asks what would have entered.
   */
  canGoBack({ cells, count, part }: Reshaping): boolean {
    for (let at = 0; at < count; at++) {
      const cell = cells[at];
      const wasHeld = this.isHeld[cell] === 1;
      const { state, litres } = this.trial;
      if (this.bringsMoreAfter(cell, wasHeld ? state.litres[cell] : litres[cell], part) !== wasHeld) return false;
    }
    return true;
  }

  /** Writes the new θ and shapes to the state, once the move was taken; litres were written when it was weighed. */
  take({ cells, count, theta }: Reshaping): void {
    const { state, shape, logGammaNext } = this.trial;
    state.logTheta += theta;
    for (let at = 0; at < count; at++) {
      state.shape[cells[at]] = shape[cells[at]];
      state.logGammaNext[cells[at]] = logGammaNext[cells[at]];
    }
  }

  /** Whether a cell brings more than a part of some finding, as things stand. */
  private bringsMoreNow(cell: number, part: number): boolean {
    const { bring, entered, litres, layout } = this.trial.state;
    const { seenFrom, seenBy } = layout;
    for (let at = seenFrom[cell]; at < seenFrom[cell + 1]; at++) {
      if (bring[at] * litres[cell] > part * entered[seenBy[at]]) return true;
    }
    return false;
  }

  /** Whether it would with these litres after the move. */
  private bringsMoreAfter(cell: number, litres: number, part: number): boolean {
    const { trial } = this;
    const { bring, layout } = trial.state;
    for (let at = layout.seenFrom[cell]; at < layout.seenFrom[cell + 1]; at++) {
      if (bring[at] * litres > part * trial.enteredAfter(layout.seenBy[at])) return true;
    }
    return false;
  }
}
