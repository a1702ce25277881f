import type { Random } from '../../../algorithms/index.ts';
import type { Delivery } from '../../model/delivery-model.ts';
import type { Groups } from '../../model/groups.ts';
import type { Evidence } from '../../question/evidence.ts';
import { isLook, isOily } from '../../question/observation.ts';
import type { GroupState } from './group-state.ts';

/** A clean or oily look: its likelihood is floor + (1 − 2·floor) × (the chance of no sign, or of some sign). */
interface WeighedSighting {
  finding: number;
  saysOil: boolean;
  floor: number;
  noticeLitres: number;
}

/**
 * Takes clean and oily looks into the gammas of the groups, one after the other, and weighs each by how well it was
 * foretold. Gammas stay gammas, and all of it is exact. With δ = delivery ÷ v0, a look has no sign with chance
 * Π (rate ÷ (rate + δ))^shape; then δ is added to each rate. Some sign is the first event of a Poisson process laid along
 * the groups, and its place is drawn: the groups before it had none (rate + δ), its own had one after a part t (shape + 1,
 * rate + δt), and of those after it nothing is known. That the look was misread is one more case, and the case is drawn.
 *
 * Why gammas stay gammas: a gamma's density times exp(−δx) is that of rate r + δ but for the factor (r ÷ (r + δ))^a, its mean under
 * the prior. Given x, signs are taken to come as a Poisson process whose rate along a group, as t goes from 0 to 1, is δx; over all
 * groups none comes with chance exp(−v/v0), which is the likelihood of a clean look. The first sign after a part t of a group has the
 * density δx·exp(−δtx), and a gamma times that is again one, of shape a + 1 and rate r + δt. Over x, the chance that none came
 * before t is (r ÷ (r + δt))^a, from which t is drawn. To draw the place rather than sum over it is what keeps one gamma to a
 * group; the weight is the sum over all places, and has no noise from the draw.
 *
 * Misread: the likelihood is m + (1 − 2m)·L, a mixture of "it says nothing", in which all gammas stay, and of L.
 */
export class SightingWeigher {
  private readonly looks: WeighedSighting[];

  constructor(
    evidence: Evidence,
    private readonly groups: Groups,
    private readonly state: GroupState,
    private readonly random: Random,
  ) {
    this.looks = looksIn(evidence, groups);
  }

  /** ln of the chance of all looks, as this draw estimates it. O(looks × groups). */
  weigh({ delivered }: Delivery): number {
    let logWeight = 0;
    for (const look of this.looks) {
      const row = delivered[look.finding];
      logWeight += look.saysOil ? this.seeOil(look, row) : this.seeClean(look, row);
    }
    return logWeight;
  }

  /** −ln of the chance that a look sees no sign, Σ a·ln(1 + δ/r): log1p, since δ/r may be far below the last digit of 1. */
  private signs({ finding, noticeLitres }: WeighedSighting, row: Float64Array): number {
    const { shape, rate } = this.state;
    const { seen, source } = this.groups;
    let sum = 0;
    for (const group of seen[finding]) {
      sum += shape[group] * Math.log1p(row[source[group]] / (noticeLitres * rate[group]));
    }
    return sum;
  }

  /** Takes in a clean look; ln of its chance, floor + (1 − 2·floor) × that of no sign. The misread case has the part floor of it. */
  private seeClean(look: WeighedSighting, row: Float64Array): number {
    const { finding, floor, noticeLitres } = look;
    const total = floor + (1 - 2 * floor) * Math.exp(-this.signs(look, row));
    if (this.random.uniform() * total < floor) return Math.log(total);
    const { rate } = this.state;
    const { seen, source } = this.groups;
    for (const group of seen[finding]) rate[group] += row[source[group]] / noticeLitres;
    return Math.log(total);
  }

  /** Takes in an oily look; ln of its chance. Small chances of a sign come from expm1, whole digits and all. */
  private seeOil(look: WeighedSighting, row: Float64Array): number {
    const { finding, floor, noticeLitres } = look;
    const some = -Math.expm1(-this.signs(look, row));
    const total = floor + (1 - 2 * floor) * some;
    if (this.random.uniform() * total < floor) return Math.log(total);
    const { shape, rate } = this.state;
    const { source } = this.groups;
    const seen = this.groups.seen[finding];
    // How far along the first event lies, in −ln of the chance that there was none before it.
    let left = -Math.log1p(-this.random.uniform() * some);
    for (let at = 0; at < seen.length; at++) {
      const group = seen[at];
      const more = row[source[group]] / noticeLitres;
      const length = shape[group] * Math.log1p(more / rate[group]);
      if (left <= length || at === seen.length - 1) {
        // Solves a·ln(1 + δt/r) = left for δt; rounding must not carry it past the group's end.
        rate[group] += Math.min(more, rate[group] * Math.expm1(left / shape[group]));
        shape[group] += 1;
        break;
      }
      left -= length;
      rate[group] += more;
    }
    return Math.log(total);
  }
}

/**
 * Looks that say something. Clean ones come first, for they tell the oily ones where no oil is; then those that see the
 * fewest groups, for what explains oil high up explains it further down. The order changes how even the weights are and not what
 * they mean: each look's chance is given those before it, and the mean of their product is the chance of all in any order.
 */
function looksIn({ findings }: Evidence, { seen: groups }: Groups): WeighedSighting[] {
  const looks = findings.flatMap((each, finding): WeighedSighting[] => {
    if (!isLook(each)) return [];
    const { misread, noticeLitres } = each;
    // A look that is wrong more often than right says the opposite.
    const saysOil = isOily(each) !== misread > 0.5;
    return [{ finding, saysOil, floor: Math.min(misread, 1 - misread), noticeLitres }];
  });
  const sees = ({ finding }: WeighedSighting) => groups[finding].length;
  return looks.sort((a, b) => Number(a.saysOil) - Number(b.saysOil) || sees(a) - sees(b) || a.finding - b.finding);
}
