import {
  CONTROLS,
  type Control,
  type Fluid,
  type Link,
  type SiteMap,
  type Structure,
  type StructureKind,
  type Zone,
} from '../site-map/index.ts';

/**
 * What controls and clean-up cost where the map states nothing, in USD, and the minutes a control takes to set up. All
 * are guesses within ×/÷ 3 (design §5, from memory): edit them in `site.costs` or on a feature.
 */
export const DEFAULT_CONTROL: Readonly<Record<Control, { cost: number; minutes: number }>> = {
  cover: { cost: 40, minutes: 2 },
  boom: { cost: 60, minutes: 5 },
  plug: { cost: 80, minutes: 8 },
  valve: { cost: 10, minutes: 2 },
  berm: { cost: 60, minutes: 5 },
};

const DEFAULT_CLEANUP: Readonly<Record<Exclude<StructureKind, 'outfall'>, number>> = {
  'catch-basin': 350,
  'trench-drain': 350,
  manhole: 350,
  valve: 350,
  separator: 3_500,
  pond: 15_000,
  sanitary: 5_000,
};
const DEFAULT_OUTFALL_CLEANUP = { 'public-drain': 15_000, stream: 60_000 };
const DEFAULT_PIPE_PER_M = 12;

/** Ways to stop oil at a place where the map lists none (contract §5). Ponds and ends have none. */
const DEFAULT_CONTROLS: Readonly<Record<StructureKind, readonly Control[]>> = {
  'catch-basin': ['cover', 'boom', 'plug'],
  'trench-drain': ['cover'],
  manhole: ['plug'],
  separator: ['plug'],
  valve: ['valve'],
  pond: [],
  outfall: [],
  sanitary: [],
};

export interface ControlChoice {
  control: Control;
  cost: number;
  minutes: number;
}

/** The ways to stop oil at a structure, or on a zone's own ground, with their costs in the site's currency. */
export function controlsAt({ site }: SiteMap, place: Zone | Structure): ControlChoice[] {
  const { controls } = place.properties;
  const listed: readonly { control: Control; cost?: number; minutes?: number }[] =
    controls ?? ('kind' in place ? DEFAULT_CONTROLS[place.kind] : ['berm' as const]).map((control) => ({ control }));
  return listed.map(({ control, cost, minutes }) => ({
    control,
    cost: cost ?? site.costs?.controls?.[control]?.cost ?? DEFAULT_CONTROL[control].cost,
    minutes: minutes ?? site.costs?.controls?.[control]?.minutes ?? DEFAULT_CONTROL[control].minutes,
  }));
}

/**
 * What it costs to clean a structure that oil has got into. An outfall counts by what it discharges to: a drain or
 * sewer as a public drain, anything else, or nothing stated, as a stream.
 */
export function structureCleanup({ site }: SiteMap, structure: Structure): number {
  const { cleanupCost } = structure.properties;
  if (cleanupCost !== undefined) return cleanupCost;
  if (structure.kind !== 'outfall') return site.costs?.cleanup?.[structure.kind] ?? DEFAULT_CLEANUP[structure.kind];
  const water = /drain|sewer/i.test(structure.properties.receives ?? '') ? 'public-drain' : 'stream';
  return site.costs?.cleanup?.[water] ?? site.costs?.cleanup?.outfall ?? DEFAULT_OUTFALL_CLEANUP[water];
}

/** What it costs to clean a link that oil has got into; an overland path costs nothing. */
export function linkCleanup({ site }: SiteMap, { kind, lengthM }: Link): number {
  if (kind === 'overland') return 0;
  const pipePerM = site.costs?.pipePerM ?? DEFAULT_PIPE_PER_M;
  return lengthM * (kind === 'swale' ? (site.costs?.swalePerM ?? pipePerM) : pipePerM);
}

/** Controls that do nothing for a fluid, or that nobody may be sent to place. */
export function controlsWithout(fluid: Fluid | null): readonly Control[] {
  if (fluid === 'gasoline') return CONTROLS;
  return fluid === 'coolant' ? ['boom'] : [];
}
