import type { Link, SiteMap, Structure } from '../site-map/index.ts';
import type { SpillModel, SpillRun } from '../spill/index.ts';
import { linkCleanup, structureCleanup } from './costs.ts';
import { inPlace } from './offers.ts';
import type { Tried } from './search.ts';
import type { Litres } from './value.ts';

/** A place that gets less than this is not counted as fouled: a film that nobody would send for. In litres. */
export const FOULED_LITRES = 0.05;

/** What cleaning up costs after a run, in the site's currency. */
export type CleanupOf = (run: SpillRun) => number;

/** Prices of cleaning up, each looked up once. */
export function cleanupIn(map: SiteMap): CleanupOf {
  const prices = new Map<Structure | Link, number>();
  const priceOf = (item: Structure | Link) => {
    const known = prices.get(item);
    if (known !== undefined) return known;
    const price = 'position' in item ? structureCleanup(map, item) : linkCleanup(map, item);
    prices.set(item, price);
    return price;
  };
  return (run) => run.fouled(FOULED_LITRES).reduce((sum, { item }) => sum + priceOf(item), 0);
}

export const litresOf = ({ toWater, toPublicDrain, pastGrates }: SpillRun): Litres => [
  toWater,
  toPublicDrain,
  pastGrates,
];

/**
 * What a spill leaves with some controls in place, for the search: by the model, nothing that dry ground keeps being
 * counted on. `spent` is what those controls cost that are not in place yet.
 */
export function triedRun(model: SpillModel, run: SpillRun, cleanupOf: CleanupOf, spent = 0): Tried {
  return {
    litres: litresOf(run),
    money: spent + cleanupOf(run),
    everywhere: run.fouled(0).reduce((sum, { litres }) => sum + litres, 0),
    with: (offer, minutes) => triedRun(model, run.with(inPlace(offer, minutes)), cleanupOf, spent + offer.cost),
    atBest: (more) => {
      const placed = [...run.placed, ...more.map(({ offer, minutes }) => inPlace(offer.atBest, minutes))];
      const least = model.run(placed, { countsGround: false });
      return { litres: litresOf(least), money: spent + cleanupOf(least) };
    },
  };
}
