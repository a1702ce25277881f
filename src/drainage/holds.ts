import type { Structure, StructureKind } from '../site-map/index.ts';

/**
 * Fraction of passing oil that stays in a structure where the map states none. Ends hold all of it by definition, since
 * oil there has left; the others are guesses, to be replaced by better-founded ones. For a plain catch basin only the
 * capture of solids is published: 10 to 33 % (Boston Water and Sewer Commission 2010, Stormwater
 * Management Report, p. 77); no published figure for oil was found.
 */
export const DEFAULT_HOLDS: Readonly<Record<StructureKind, number>> = {
  'catch-basin': 0.1,
  'trench-drain': 0,
  manhole: 0,
  valve: 0,
  pond: 0.5,
  separator: 0.9,
  outfall: 1,
  sanitary: 1,
  edge: 1,
};

/**
 * Fraction, 0 to 1, of the oil entering a structure that stays in it: as the map states, else `DEFAULT_HOLDS` of its
 * kind.
 */
export function holdsOf({ kind, properties }: Structure): number {
  return properties.holds ?? DEFAULT_HOLDS[kind];
}

/** Part of a separator's usual hold that is left at twice its design flow: 0.3 of 0.9. A guess. */
const LEFT_WHEN_OVERRUN = 1 / 3;

/**
 * Fraction that stays at a flow in L/s: a separator with a stated design flow holds as usual up to it, evenly less above
 * it, and a third of that from twice the flow on. Anything else holds what it holds. O(1). By how much a separator that
 * is overrun holds less is a guess, and so is the straight line between.
 */
export function holdsAtFlow(structure: Structure, flowLps: number): number {
  const holds = holdsOf(structure);
  if (structure.kind !== 'separator') return holds;
  const { designFlowLps } = structure.properties;
  if (designFlowLps === undefined) return holds;
  const over = Math.min(1, Math.max(0, flowLps / designFlowLps - 1));
  return holds * (1 - over * (1 - LEFT_WHEN_OVERRUN));
}
