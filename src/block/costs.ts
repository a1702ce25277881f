import {
  CONTROLS,
  type Control,
  type Fluid,
  isControl,
  type Link,
  type SiteMap,
  type Structure,
  type StructureKind,
  type Zone,
} from '../site-map/index.ts';

/**
 * What controls and clean-up cost where the map states nothing, in USD, and the minutes a control takes to set up. All
 * are guesses within ×/÷ 3: edit them in `site.costs` or on a feature.
 */
export const DEFAULT_CONTROL: Readonly<Record<Control, { cost: number; minutes: number }>> = {
  cover: { cost: 40, minutes: 2 },
  boom: { cost: 60, minutes: 5 },
  plug: { cost: 80, minutes: 8 },
  valve: { cost: 10, minutes: 2 },
  berm: { cost: 60, minutes: 5 },
  sock: { cost: 20, minutes: 1 },
  absorb: { cost: 20, minutes: 1 },
  'fuel-stop': { cost: 0, minutes: 0.5 },
  'pump-switch': { cost: 0, minutes: 0.5 },
  diverter: { cost: 10, minutes: 2 },
};

const DEFAULT_CLEANUP: Readonly<Record<Exclude<StructureKind, 'outfall'>, number>> = {
  'catch-basin': 350,
  'trench-drain': 350,
  manhole: 350,
  valve: 350,
  separator: 3_500,
  pond: 15_000,
  sanitary: 5_000,
  // Where the map ends nobody knows what comes next: it is taken for a public drain.
  edge: 15_000,
};
const DEFAULT_OUTFALL_CLEANUP = { 'public-drain': 15_000, stream: 60_000 };
const DEFAULT_PIPE_PER_M = 12;

/** Ways to stop oil at a place where the map lists none. Ponds and ends have none. */
const DEFAULT_CONTROLS: Readonly<Record<StructureKind, readonly Control[]>> = {
  'catch-basin': ['cover', 'boom', 'plug'],
  'trench-drain': ['cover'],
  manhole: ['plug'],
  separator: ['plug'],
  valve: ['valve'],
  pond: [],
  outfall: [],
  sanitary: [],
  edge: [],
};

export interface ControlChoice {
  control: Control;
  cost: number;
  minutes: number;
}

interface ListedControl {
  control: string;
  cost?: number;
  minutes?: number;
}

const usualControls = (place: Zone | Structure): readonly Control[] =>
  'kind' in place ? DEFAULT_CONTROLS[place.kind] : ['berm'];

/**
 * The ways to stop oil at a structure, or on a zone's own ground, with their costs in the site's currency. Those that the
 * map lists and plans are not made of (socks, absorbents) are left out. The feature's own figure counts first, then the
 * site's, then the default; an empty list on a feature means that nothing can be done there. O(controls listed).
 */
export function controlsAt({ site }: SiteMap, place: Zone | Structure): ControlChoice[] {
  const listed: readonly ListedControl[] =
    place.properties.controls ?? usualControls(place).map((control) => ({ control }));
  return listed.flatMap(({ control, cost, minutes }): ControlChoice[] => {
    if (!isControl(control)) return [];
    const ofSite = site.costs?.controls?.[control];
    const usual = DEFAULT_CONTROL[control];
    return [
      { control, cost: cost ?? ofSite?.cost ?? usual.cost, minutes: minutes ?? ofSite?.minutes ?? usual.minutes },
    ];
  });
}

/**
 * What it costs to clean a structure that oil has got into. An outfall counts by what it discharges to: a drain or
 * sewer as a public drain, anything else, or nothing stated, as a stream, the dearest: what is not known must not look
 * cheap to foul. It is one price however much oil comes.
 */
export function structureCleanup({ site }: SiteMap, structure: Structure): number {
  const { cleanupCost } = structure.properties;
  if (cleanupCost !== undefined) return cleanupCost;
  if (structure.kind !== 'outfall') return site.costs?.cleanup?.[structure.kind] ?? DEFAULT_CLEANUP[structure.kind];
  const water = /drain|sewer/i.test(structure.properties.receives ?? '') ? 'public-drain' : 'stream';
  return site.costs?.cleanup?.[water] ?? site.costs?.cleanup?.outfall ?? DEFAULT_OUTFALL_CLEANUP[water];
}

/**
 * What it costs to clean a link that oil has got into, by its length; an overland path costs nothing. A swale costs
 * what a pipe does where the site states no price of its own.
 */
export function linkCleanup({ site }: SiteMap, { kind, lengthM }: Link): number {
  if (kind === 'overland') return 0;
  const pipePerM = site.costs?.pipePerM ?? DEFAULT_PIPE_PER_M;
  return lengthM * (kind === 'swale' ? (site.costs?.swalePerM ?? pipePerM) : pipePerM);
}

/**
 * Controls that do nothing for a fluid, or that nobody may be sent to place: all of them for gasoline, whose vapours
 * burn, and booms for coolant, which mixes with water. None for a fluid that is not known.
 */
export function controlsWithout(fluid: Fluid | null): readonly Control[] {
  if (fluid === 'gasoline') return CONTROLS;
  return fluid === 'coolant' ? ['boom'] : [];
}
