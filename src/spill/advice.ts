import { type Told, told } from '../catalogue/index.ts';
import type { Fluid } from '../site-map/index.ts';

/** Said first, whatever the plan. */
export const FIRST_WORDS = told('spill.first-words');

/** Fluids that give off no vapour to fear at the air's temperature. */
const HEAVY: readonly Fluid[] = ['diesel', 'motor-oil', 'hydraulic-oil', 'gear-oil', 'coolant', 'cooking-oil'];

/** The usual cautions, which stand beside every plan; the one about vapours where the fluid may be light. */
export function cautionsFor(fluid: Fluid | null): Told[] {
  const isHeavy = fluid !== null && HEAVY.includes(fluid);
  return [
    told('spill.caution-vault'),
    told('spill.caution-gloves'),
    ...(isHeavy ? [] : [told('spill.caution-light-fuel')]),
    told('spill.caution-report'),
    told('spill.caution-advice'),
  ];
}

/**
 * What the fluid itself calls for, ahead of everything else; `possible` are the fluids of the zone, which count where
 * the fluid is not known. Empty where nothing special is called for.
 *
 * @example
 * import { fluidAdvice } from 'oilshed/spill';
 * fluidAdvice('diesel', ['gasoline']); // → []
 * fluidAdvice(null, ['diesel', 'gasoline']); // → [{ told: 'spill.if-gasoline' }]
 */
export function fluidAdvice(fluid: Fluid | null, possible: readonly Fluid[]): Told[] {
  if (fluid === 'gasoline') return [told('spill.gasoline')];
  if (fluid === 'coolant') return [told('spill.coolant')];
  return fluid === null && possible.includes('gasoline') ? [told('spill.if-gasoline')] : [];
}
