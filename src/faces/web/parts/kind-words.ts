import type { Activity, Fluid, StructureKind } from '../../../site-map/index.ts';

/** What each kind of structure is called in a sentence. */
export const STRUCTURE_WORDS: Readonly<Record<StructureKind, string>> = {
  'catch-basin': 'catch basin',
  'trench-drain': 'trench drain',
  manhole: 'manhole',
  valve: 'valve',
  pond: 'pond',
  separator: 'separator',
  outfall: 'outfall',
  sanitary: 'sanitary sewer',
  edge: 'edge of the map',
};

export const ACTIVITY_WORDS: Readonly<Record<Activity, string>> = {
  fueling: 'fuelling',
  'wash-bay': 'washing',
  parking: 'parking',
  workshop: 'workshop',
  loading: 'loading',
  storage: 'storage',
  scrap: 'scrap',
  roadway: 'roadway',
  roof: 'roof',
  landscape: 'planted ground',
  other: 'other use',
};

export const FLUID_WORDS: Readonly<Record<Fluid, string>> = {
  gasoline: 'gasoline',
  diesel: 'diesel',
  'motor-oil': 'motor oil',
  'hydraulic-oil': 'hydraulic oil',
  'gear-oil': 'gear oil',
  coolant: 'coolant',
  'cooking-oil': 'cooking oil',
  other: 'another fluid',
};
