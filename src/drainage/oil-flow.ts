import type { Fluid } from '../site-map/index.ts';
import type { Drainage } from './compile.ts';
import { conduitOf, invertsOf } from './conduit.ts';
import { FLUID_NATURE } from './fluids.ts';
import { laminarFlow } from './manning.ts';
import { groundKeeps, groundTravel, minutesPastStorage } from './oil-film.ts';
import { type LinkFlow, linkFlows } from './water.ts';

/** How oil goes along one link: what `LinkFlow` says is the water's way, no sooner than which it comes. */
export interface OilFlow extends LinkFlow {
  /** What every litre needs once the ground has kept its own: not under `minutes`. */
  likelyMinutes: number;
  /** Litres that dry ground under an overland link or a swale keeps of the first that come. */
  keepsLitres: number;
}

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
    if (!link || !isDry) return { ...flow, likelyMinutes: flow.minutes, keepsLitres: 0 };
    const conduit = conduitOf(link, invertOf);
    const { lengthM } = link;
    if (link.kind === 'overland') {
      const path = { metres: lengthM, slope: conduit.slope, surface: 'asphalt' as const, flowLps, fluid, isDry };
      const { likelyMinutes, keepsLitres } = groundTravel(path);
      return { ...flow, likelyMinutes, keepsLitres };
    }
    const keepsLitres = link.kind === 'swale' ? groundKeeps('grass', lengthM) : 0;
    if (flowLps <= 0 || lengthM === 0) return { ...flow, likelyMinutes: flow.minutes, keepsLitres };
    const filmMinutes = lengthM / laminarFlow(conduit, flowLps, viscosityMm2PerS).velocityMps / 60;
    const likelyMinutes = minutesPastStorage({ waterMinutes: flow.minutes, filmMinutes, keepsLitres, flowLps });
    return { ...flow, likelyMinutes, keepsLitres };
  };
}
