import type { Random } from '../../../algorithms/index.ts';
import type { Delivery } from '../../model/delivery-model.ts';
import type { Groups } from '../../model/groups.ts';
import type { Evidence } from '../../question/evidence.ts';
import { isLook, isOily } from '../../question/observation.ts';
import type { GroupState } from './group-state.ts';

/** A clean or oily look: its likelihood is floor + (1 − 2·floor) × (the chance of no sign, or of some sign). */
interface Look {
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
 */
export class LookWeigher {
  private readonly looks: Look[];

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

  /** −ln of the chance that a look sees no sign. */
  private signs({ finding, noticeLitres }: Look, row: Float64Array): number {
    const { shape, rate } = this.state;
    const { seen, source } = this.groups;
    let sum = 0;
    for (const group of seen[finding]) {
      sum += shape[group] * Math.log1p(row[source[group]] / (noticeLitres * rate[group]));
    }
    return sum;
  }

  private seeClean(look: Look, row: Float64Array): number {
    const { finding, floor, noticeLitres } = look;
    const total = floor + (1 - 2 * floor) * Math.exp(-this.signs(look, row));
    if (this.random.uniform() * total < floor) return Math.log(total);
    const { rate } = this.state;
    const { seen, source } = this.groups;
    for (const group of seen[finding]) rate[group] += row[source[group]] / noticeLitres;
    return Math.log(total);
  }

  private seeOil(look: Look, row: Float64Array): number {
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
 * fewest groups, for what explains oil high up explains it further down.
 */
function looksIn({ findings }: Evidence, { seen: groups }: Groups): Look[] {
  const looks = findings.flatMap((each, finding): Look[] => {
    if (!isLook(each)) return [];
    const { misread, noticeLitres } = each;
    // A look that is wrong more often than right says the opposite.
    const saysOil = isOily(each) !== misread > 0.5;
    return [{ finding, saysOil, floor: Math.min(misread, 1 - misread), noticeLitres }];
  });
  const sees = ({ finding }: Look) => groups[finding].length;
  return looks.sort((a, b) => Number(a.saysOil) - Number(b.saysOil) || sees(a) - sees(b) || a.finding - b.finding);
}
