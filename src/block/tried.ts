import type { SiteMap } from '../site-map/index.ts';
import type { SpillModel, SpillRun } from '../spill/index.ts';
import { CLEAN_LITRES, type CleanUp, cleanUpOf } from './clean-up.ts';
import { inPlace } from './offers.ts';
import type { Tried } from './search.ts';
import type { Litres } from './value.ts';

/** What cleaning up costs after a run, in the site's currency. */
export type CleanUpAfter = (run: SpillRun) => CleanUp;

/** Prices of cleaning up in one yard. */
export const cleanUpIn =
  (map: SiteMap): CleanUpAfter =>
  (run) =>
    cleanUpOf(map, run.fouled(CLEAN_LITRES));

export const litresOf = ({ toWater, toPublicDrain, pastGrates }: SpillRun): Litres => [
  toWater,
  toPublicDrain,
  pastGrates,
];

/**
 * What a spill leaves with some controls in place, for the search: by the model, nothing that dry ground keeps being
 * counted on unless asked for. `spent` is what those controls cost that are not in place yet.
 */
export function triedRun(
  model: SpillModel,
  run: SpillRun,
  cleanUpAfter: CleanUpAfter,
  { spent = 0, countsGround = false } = {},
): Tried {
  const after = (next: SpillRun, cost: number) =>
    triedRun(model, next, cleanUpAfter, { spent: spent + cost, countsGround });
  const { cost, low } = cleanUpAfter(run);
  return {
    litres: litresOf(run),
    money: spent + cost,
    leastMoney: spent + low,
    kept: () => run.litres().kept,
    everywhere: () => run.fouled(0).reduce((sum, { litres }) => sum + litres, 0),
    with: (offer, minutes) => after(run.with(inPlace(offer, minutes)), offer.cost),
    withAll: (more) =>
      after(
        model.run([...run.placed, ...more.map(({ offer, minutes }) => inPlace(offer, minutes))], {
          countsGround,
        }),
        more.reduce((sum, { offer }) => sum + offer.cost, 0),
      ),
    atBest: (more) => {
      const placed = [...run.placed, ...more.map(({ offer, minutes }) => inPlace(offer.atBest, minutes))];
      const least = model.run(placed, { countsGround });
      return { litres: litresOf(least), money: spent + cleanUpAfter(least).cost };
    },
  };
}
