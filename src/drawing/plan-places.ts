import { type Box, TakenBoxes } from './boxes.ts';
import type { DrawnPlan, DrawnYard } from './drawn.ts';
import { type Flat, toPixels } from './flat.ts';
import { markSize, NAMED_FROM } from './mark-size.ts';
import { placesOf } from './places.ts';

type Placed<T> = T & { place: Flat };

interface PlanPlaces {
  kits: Placed<DrawnPlan['kits'][number]>[];
  measures: Placed<DrawnPlan['measures'][number]>[];
  /** Of measures, beside full size. On a small map they carry no numbers. */
  size: number;
}

/** From one measure to the next and from a structure to its measure, in pixels at full size. */
const STEP = 25;
const SMALL = 0.5;
/** Where a measure is tried, in steps from its place: there itself, over it, beside it, then farther out. */
const TRIES: readonly Flat[] = [-1, 1, -2, 2, -3, 3]
  .flatMap((far): Flat[] => [
    [0, far],
    [far, 0],
    [far, far],
    [far, -far],
  ])
  .sort((a, b) => Math.hypot(...a) - Math.hypot(...b));

/** Where the marks of the plan stand, in pixels: kits where they are, measures as near to their place as they find room. */
export function planPlaces({ plan, flat, transform }: Pick<DrawnYard, 'plan' | 'flat' | 'transform'>): PlanPlaces {
  const size = markSize(flat, transform) < NAMED_FROM ? SMALL : 1;
  if (!plan) return { kits: [], measures: [], size };
  const places = placesOf({ flat, transform });
  const isZone = new Set(flat.zones.map(({ zone }) => zone.id));
  const taken = new TakenBoxes();
  const boxAt = ([x, y]: Flat): Box => ({ x, y, width: STEP * size - 1, height: STEP * size - 1 });
  const kits = plan.kits.map((kit) => ({ ...kit, place: toPixels(transform, kit.at) }));
  for (const { place } of kits) taken.take(boxAt(place));
  // A structure is not hidden by its own measure or a neighbour's.
  for (const { at } of flat.structures) taken.take(boxAt(toPixels(transform, at)));
  const measures = plan.measures.flatMap((measure) => {
    const place = places.get(measure.at);
    if (!place) return [];
    const here: Flat[] = isZone.has(measure.at) ? [[0, 0]] : [];
    const tries = [...here, ...TRIES].map(
      ([across, down]): Flat => [place[0] + across * STEP * size, place[1] + down * STEP * size],
    );
    const free = tries.find((each) => taken.isFree(boxAt(each))) ?? tries[0];
    taken.take(boxAt(free));
    return [{ ...measure, place: free }];
  });
  return { kits, measures, size };
}
