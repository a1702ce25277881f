import { logGamma } from '../../../algorithms/index.ts';
import type { Delivery, DeliveryModel } from '../../model/delivery-model.ts';
import { logLikelihood, type Said, saidBy } from '../../model/likelihood.ts';
import type { ReleasePrior } from '../../model/rates.ts';
import type { Evidence } from '../../question/evidence.ts';
import type { State } from '../draw-table.ts';
import { type Layout, layoutOf } from './layout.ts';

/**
 * Where a chain stands: everything that is not known, and what follows from it. Moves read it and, once taken, write it;
 * every array is made once.
 *
 * What is not known is litres, θ, the normal numbers behind yields and `holds`; their joint density is
 * Π Gamma(litres; yield × years ÷ θ, scale θ) × Π normal densities × the prior of ln θ × Π likelihoods. Yields, shapes, delivery and
 * what entered follow from them and are kept so that a move need not work them out.
 */
export class ChainState {
  readonly layout: Layout;
  /** By finding. */
  readonly said: Said[];
  /** Litres of each cell, and their logarithms, which do not underflow. */
  readonly litres: Float64Array;
  readonly logLitres: Float64Array;
  /** Shape of each cell's gamma, yield × years ÷ θ, and ln Γ(shape + 1), which is near 0 for small shapes where ln Γ(shape) has no end. */
  readonly shape: Float64Array;
  readonly logGammaNext: Float64Array;
  /** ln θ, ln yield of each source, and the standard normal numbers behind the yields, own and shared. */
  logTheta: number;
  readonly logYield: Float64Array;
  readonly own: Float64Array;
  readonly shared: Float64Array;
  /** Standard normal number behind each guessed `holds`, and the delivery that comes of them. */
  readonly stray: Float64Array;
  delivery: Delivery;
  /** What a litre of a cell brings to each of the findings that see it, in the order of the layout's `seenBy`. */
  readonly bring: Float64Array;
  /** Litres that entered at each finding, and the log likelihood of that. */
  readonly entered: Float64Array;
  readonly logLike: Float64Array;

  /** The delivery before the last step of a guess, kept so that it need not be worked out again where the step is turned down. */
  private spareDelivery: Delivery;
  private readonly litresPerYear: Float64Array;

  /** Stands at the medians of all priors, with no litres yet: they are put before the first move. O(cells × findings + sources). */
  constructor(
    readonly evidence: Evidence,
    readonly model: DeliveryModel,
    readonly release: ReleasePrior,
  ) {
    const { cells, sources, findings } = evidence;
    this.layout = layoutOf(evidence);
    this.said = findings.map(saidBy);
    [this.litres, this.logLitres] = [new Float64Array(cells.length), new Float64Array(cells.length)];
    [this.entered, this.logLike] = [new Float64Array(findings.length), new Float64Array(findings.length)];
    this.own = new Float64Array(sources.length);
    this.shared = new Float64Array(this.layout.kinships.length);
    this.stray = new Float64Array(model.guessed);
    this.delivery = model.at(this.stray);
    this.spareDelivery = model.at(this.stray);
    this.bring = new Float64Array(this.layout.seenBy.length);
    this.logTheta = Math.log('litres' in release ? release.litres : release.median);
    this.logYield = Float64Array.from(sources, ({ litresPerYear }) => Math.log(litresPerYear));
    this.litresPerYear = new Float64Array(sources.length);
    this.shape = Float64Array.from(
      cells,
      ({ source, years }) => Math.exp(this.logYield[source] - this.logTheta) * years,
    );
    this.logGammaNext = this.shape.map((shape) => logGamma(shape + 1));
    this.readBring();
  }

  /** As the draws take it over; arrays are the chain's own, and change with the next sweep. */
  drawAt(target: number): State {
    for (let source = 0; source < this.logYield.length; source++) {
      this.litresPerYear[source] = Math.exp(this.logYield[source]);
    }
    const { litresPerYear, logLitres, logLike } = this;
    const delivered = this.delivery.delivered[target];
    return { theta: Math.exp(this.logTheta), litresPerYear, delivered, logLitres, logLike };
  }

  /** Sets the litres of a cell. What entered at the findings is out of date until `addUp`. */
  put(cell: number, logLitres: number): void {
    this.logLitres[cell] = logLitres;
    this.litres[cell] = Math.exp(logLitres);
  }

  /** ln of what entered at a finding, known where the litres themselves underflow: the largest is taken out of the sum first. */
  logEntered(finding: number): number {
    const { cellsSeen, source } = this.layout;
    const row = this.delivery.delivered[finding];
    const seen = cellsSeen[finding];
    const logs = Float64Array.from(seen, (cell) => this.logLitres[cell] + Math.log(row[source[cell]]));
    const top = logs.reduce((most, log) => Math.max(most, log), Number.NEGATIVE_INFINITY);
    if (top === Number.NEGATIVE_INFINITY) return top;
    return top + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - top), 0));
  }

  /**
   * Adds up what entered at each finding, from nothing, so that roundings cannot pile up, and weighs the findings anew. Moves add
   * differences, and a large cell that came and went would leave its rounding behind in a sum of small ones. O(cells × findings).
   */
  addUp(): void {
    const { bring, litres, entered, logLike, said } = this;
    const { seenFrom, seenBy } = this.layout;
    const { holds } = this.delivery;
    entered.fill(0);
    for (let cell = 0; cell < litres.length; cell++) {
      for (let at = seenFrom[cell]; at < seenFrom[cell + 1]; at++) entered[seenBy[at]] += bring[at] * litres[cell];
    }
    for (let finding = 0; finding < said.length; finding++) {
      logLike[finding] = logLikelihood(said[finding], entered[finding], holds[finding]);
    }
  }

  /**
   * Works delivery out for the strays as they are now; `swapDelivery` brings back the one before. What entered at the findings
   * is out of date until `addUp`. O(sources + ways between guesses), and O(edges upstream) where guesses lie in a loop.
   */
  stepDelivery(): void {
    this.model.into(this.stray, this.spareDelivery);
    this.swapDelivery();
  }

  /** Exchanges the delivery that counts and the spare one. O(cells × their findings). */
  swapDelivery(): void {
    [this.delivery, this.spareDelivery] = [this.spareDelivery, this.delivery];
    this.readBring();
  }

  /** Delivery by finding and source, copied into the order in which moves walk through the findings of a cell. */
  private readBring(): void {
    const { source, seenFrom, seenBy } = this.layout;
    const { delivered } = this.delivery;
    for (let cell = 0; cell < source.length; cell++) {
      for (let at = seenFrom[cell]; at < seenFrom[cell + 1]; at++) this.bring[at] = delivered[seenBy[at]][source[cell]];
    }
  }
}
