import type { Fluid } from '../site-map/index.ts';

/** Said first, whatever the plan. */
export const FIRST_WORDS = 'Stop the source if that is safe, keep people away, call. Then block.';

/** Fluids that give off no vapour to fear at the air's temperature. */
const HEAVY: readonly Fluid[] = ['diesel', 'motor-oil', 'hydraulic-oil', 'gear-oil', 'coolant', 'cooking-oil'];

/** The usual cautions, which stand beside every plan; the one about vapours where the fluid may be light. */
export function cautionsFor(fluid: Fluid | null): string[] {
  const isHeavy = fluid !== null && HEAVY.includes(fluid);
  return [
    'Never enter a vault or a manhole: licensed confined-space contractors only.',
    'Wear gloves.',
    ...(isHeavy
      ? []
      : ['Gasoline or another light fuel: no ignition, do not seal vapours in, get out and call the fire service.']),
    'Report as local rules require.',
    'This plan is advice: local codes and licensed practice come first.',
  ];
}

const GASOLINE = 'get everyone out, no ignition, seal nothing, go to no lid. Call the fire service.';

/**
 * What the fluid itself calls for, ahead of everything else; `possible` are the fluids of the zone, which count where
 * the fluid is not known. Empty where nothing special is called for.
 *
 * @example
 * import { fluidAdvice } from 'oilshed/spill';
 * fluidAdvice('diesel', ['gasoline']); // → []
 * fluidAdvice(null, ['diesel', 'gasoline']).map((line) => line.split(':')[0]); // → ['If this is gasoline']
 */
export function fluidAdvice(fluid: Fluid | null, possible: readonly Fluid[]): string[] {
  if (fluid === 'gasoline') return [`Gasoline: ${GASOLINE}`];
  if (fluid === 'coolant') {
    return ['Coolant mixes with water and does not float: a boom does nothing, and a separator lets it through.'];
  }
  return fluid === null && possible.includes('gasoline') ? [`If this is gasoline: ${GASOLINE}`] : [];
}
