import type { Source } from '../question/evidence.ts';
import { kinshipsOf } from './kinships.ts';

/**
 * θ in litres: known, or log-normal with this median and factor (two times in three within ×/÷ factor). θ is the scale of the
 * gamma process, about the size of the larger releases: of all oil, the part that comes in releases above x is exp(−x/θ).
 */
export type ReleasePrior = { litres: number } | { median: number; factor: number };

/**
 * θ and yields, read off numbers whose priors are standard normal: θ's own where it is not known, shared factors, own factors, in
 * this order. What is rough in a rate is a factor to the power of such a number: value = median × factor^z, which is log-normal. So
 * a proposal for them is one for normals, whatever the factors, and the prior density of a draw is the same simple form for all.
 *
 * A default is the *median* of what it stands for. The mean is larger by exp(σ²/2), 1.27 times for a factor of 2, and so is what
 * a zone releases on average over the draws.
 */
export class Rates {
  /** How many of the numbers these are. */
  count: number;
  private readonly middle: number;
  private readonly spread: number;
  private readonly own: Float64Array;
  /** Which number each source's own factor is. */
  private readonly ownAt: Int32Array;
  /** Which number each source's shared factor is, −1 without one, and how much it weighs. */
  private readonly shared: Int32Array;
  private readonly sharedSpread: Float64Array;
  private readonly median: Float64Array;

  /** Numbers each unknown of `sources`; a yield that is known exactly gets no number. O(sources). */
  constructor(sources: readonly Source[], release: ReleasePrior) {
    const isKnown = 'litres' in release;
    this.middle = isKnown ? release.litres : release.median;
    this.spread = isKnown ? 0 : Math.log(release.factor);
    const { own, shared } = kinshipsOf(sources);
    const first = isKnown ? 0 : 1;
    this.own = own;
    this.ownAt = new Int32Array(sources.length);
    this.count = first + shared.length;
    own.forEach((spread, source) => {
      if (spread > 0) this.ownAt[source] = this.count++;
    });
    this.shared = new Int32Array(sources.length).fill(-1);
    this.sharedSpread = new Float64Array(sources.length);
    shared.forEach(({ sources: kin, spread }, at) => {
      for (const source of kin) [this.shared[source], this.sharedSpread[source]] = [first + at, spread];
    });
    this.median = Float64Array.from(sources, ({ litresPerYear }) => litresPerYear);
  }

  /**
   * Writes the yields, litres a year by source, and returns θ in litres. `normals` are `count` or more numbers. A yield or θ that is
   * known comes back to the last digit, since no exponential touches it. O(sources).
   */
  read(normals: Float64Array, litresPerYear: Float64Array): number {
    const { own, ownAt, shared, sharedSpread, median } = this;
    for (let source = 0; source < median.length; source++) {
      const common = shared[source] >= 0 ? sharedSpread[source] * normals[shared[source]] : 0;
      const log = common + (own[source] > 0 ? own[source] * normals[ownAt[source]] : 0);
      litresPerYear[source] = log === 0 ? median[source] : median[source] * Math.exp(log);
    }
    return this.spread === 0 ? this.middle : this.middle * Math.exp(this.spread * normals[0]);
  }
}
