import type { Random } from '../../../algorithms/index.ts';
import type { Delivery, DeliveryModel } from '../../model/delivery-model.ts';
import type { Groups } from '../../model/groups.ts';
import type { ReleasePrior } from '../../model/rates.ts';
import { Rates } from '../../model/rates.ts';
import type { Evidence } from '../../question/evidence.ts';
import { drawLitres, type GroupState, groupState } from './group-state.ts';
import type { Proposal } from './proposal.ts';
import { AmountWeigher } from './weigh-amounts.ts';
import { SightingWeigher } from './weigh-sightings.ts';

interface Unknowns {
  model: DeliveryModel;
  release: ReleasePrior;
  random: Random;
}

/**
 * Independent draws of everything that is not known, each with the weight that makes them draws from the posterior. θ,
 * yields and guessed `holds` come from a proposal; then the findings are taken in one after the other, looks first
 * (`LookWeigher`), and each multiplies the weight by its chance given those before it (`AmountWeigher` for amounts).
 *
 * The product is an estimate of the likelihood of θ, yields and `holds` whose mean, over what else is drawn on the way, is right;
 * so prior × product, ÷ proposal, weighs draws of everything towards the posterior. Taking findings in one by one, where a plain
 * weighing would draw all litres from the prior and hope, lets litres be drawn where the findings have them.
 */
export class Weighing {
  /** What has a standard normal prior: what `Rates` reads, then how far each guessed `holds` strays. */
  readonly normals: Float64Array;
  readonly delivery: Delivery;
  /** What each group released. */
  readonly state: GroupState;
  /** Litres that entered at each finding. */
  readonly entered: Float64Array;

  private readonly model: DeliveryModel;
  private readonly random: Random;
  private readonly rates: Rates;
  private readonly strays: Float64Array;
  private readonly litresPerYear: Float64Array;
  private readonly looks: SightingWeigher;
  private readonly amounts: AmountWeigher;

  constructor(
    evidence: Evidence,
    private readonly groups: Groups,
    { model, release, random }: Unknowns,
  ) {
    [this.model, this.random] = [model, random];
    const { sources, findings } = evidence;
    this.rates = new Rates(sources, release);
    this.normals = new Float64Array(this.rates.count + model.guessed);
    this.strays = this.normals.subarray(this.rates.count);
    this.litresPerYear = new Float64Array(sources.length);
    this.delivery = model.at(this.strays);
    this.state = groupState(groups.count);
    this.entered = new Float64Array(findings.length);
    this.looks = new SightingWeigher(evidence, groups, this.state, random);
    this.amounts = new AmountWeigher(evidence, groups, this.state, random);
  }

  /**
   * Draws everything anew. Returns ln of the chance of the findings as this draw estimates it: of all draws from the
   * prior the mean is right. −∞ where the findings cannot be, or are so far off
   * that numbers end. O(groups × findings + sources + ways between guesses).
   *
   * The density of the proposal is not in it: `Stages` weighs against all proposals together. Groups that no amount sees are drawn
   * last, from gammas that the looks have changed, and that needs no weight: the looks' weight is of those gammas.
   */
  draw(proposal: Proposal): number {
    proposal.draw(this.normals, this.random);
    this.lay();
    const logWeight = this.looks.weigh(this.delivery) + this.amounts.weigh(this.delivery);
    const { isDrawn } = this.state;
    for (let group = 0; group < isDrawn.length; group++) {
      if (isDrawn[group] === 0) drawLitres(this.state, group, this.random);
    }
    this.addUp();
    // A weight that is no number comes of litres beyond all numbers, large or small; such a draw explains nothing.
    return Number.isNaN(logWeight) ? Number.NEGATIVE_INFINITY : logWeight;
  }

  /**
   * Delivery, and what each group released as its prior has it: a gamma of rate 1 ÷ θ per litre, whose shape is Σ yield × years ÷ θ over
   * its cells, since gammas of one scale add up to one. All groups begin anew: what a draw before took in is forgotten.
   */
  private lay(): void {
    const { state, litresPerYear } = this;
    const { count, starts, sources, years } = this.groups;
    const theta = this.rates.read(this.normals, litresPerYear);
    if (this.strays.length > 0) this.model.into(this.strays, this.delivery);
    state.isDrawn.fill(0);
    state.rate.fill(1 / theta);
    for (let group = 0; group < count; group++) {
      let litres = 0;
      for (let at = starts[group]; at < starts[group + 1]; at++) {
        litres += litresPerYear[sources[at]] * years[at];
      }
      state.shape[group] = litres / theta;
    }
  }

  /** What entered at each finding from the litres drawn: the draws are told by what they explain, after all is known. */
  private addUp(): void {
    const { seen, source } = this.groups;
    for (let finding = 0; finding < this.entered.length; finding++) {
      const row = this.delivery.delivered[finding];
      let sum = 0;
      for (const group of seen[finding]) sum += row[source[group]] * this.state.litres[group];
      this.entered[finding] = sum;
    }
  }
}
