import type { Fluid } from '../site-map/index.ts';
import type { Drainage } from './compile.ts';
import { conduitOf, invertsOf } from './conduit.ts';
import { FLUID_NATURE } from './fluids.ts';
import { laminarFlow } from './manning.ts';
import { type GroundPath, type GroundTravel, groundKeeps, groundTravel, oilTimes } from './oil-film.ts';
import { type LinkFlow, linkFlows } from './water.ts';

/** How oil goes along one link: what `LinkFlow` says is the water's way, no sooner than which it comes. */
export interface OilFlow extends LinkFlow, Omit<GroundTravel, 'lateMinutes'> {}

/**
 * For each edge position: how oil goes along it at so many L/s; null is a fluid that nobody knows, taken as `other`. In
 * rain it goes as the water does. Dry, a pipe or a swale is as slow as the slower of Manning's formula and laminar flow,
 * each at the depth that it gives; a swale's grass first keeps what its hollows hold, and a link over the ground is
 * paved ground to a spill (`groundTravel`). O(structures) to make, O(1) to ask.
 */
export function oilFlows(
  drainage: Drainage,
  { fluid, isDry }: { fluid: Fluid | null; isDry: boolean },
): (edge: number, flowLps: number) => OilFlow {
  const flowOn = linkFlows(drainage);
  const invertOf = invertsOf(drainage.map);
  const { viscosityMm2PerS } = FLUID_NATURE[fluid ?? 'other'];
  return (edge, flowLps) => {
    const flow = flowOn(edge, flowLps);
    const link = drainage.linkAt[edge];
    if (!link || !isDry) return { ...flow, filmMinutes: flow.minutes, likelyMinutes: flow.minutes, keepsLitres: 0 };
    const conduit = conduitOf(link, invertOf);
    const { lengthM } = link;
    if (link.kind === 'overland') {
      const path: GroundPath = { metres: lengthM, slope: conduit.slope, surface: 'asphalt', flowLps, fluid, isDry };
      const { lateMinutes: _, ...times } = groundTravel(path);
      return { ...flow, ...times };
    }
    const { velocityMps } = laminarFlow(conduit, flowLps, viscosityMm2PerS);
    return {
      ...flow,
      ...oilTimes({
        waterMinutes: flow.minutes,
        filmMinutes: lengthM / velocityMps / 60,
        keepsLitres: link.kind === 'swale' ? groundKeeps('grass', lengthM) : 0,
        flowLps,
      }),
    };
  };
}
