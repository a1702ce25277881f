/** The words a site map may use. Everything that lists kinds, activities or controls takes them from here. */

export const STRUCTURE_KINDS = [
  'catch-basin',
  'trench-drain',
  'manhole',
  'valve',
  'pond',
  'separator',
  'outfall',
  'sanitary',
  'edge',
] as const;
export type StructureKind = (typeof STRUCTURE_KINDS)[number];

export const LINK_KINDS = ['pipe', 'swale', 'overland'] as const;
export type LinkKind = (typeof LINK_KINDS)[number];

export const PLACE_KINDS = ['kit', 'kit-spot', 'crew'] as const;
export type PlaceKind = (typeof PLACE_KINDS)[number];
/** Where somebody can change what flows, or where water comes in from outside. */
export const DEVICE_KINDS = ['fuel-stop', 'pump-switch', 'diverter', 'run-on'] as const;
export const SURROUNDING_KINDS = ['building', 'property-line', 'water'] as const;

/** Every kind of feature, in the order in which a written map lists them. */
export const KINDS = [
  'zone',
  ...STRUCTURE_KINDS,
  ...LINK_KINDS,
  ...PLACE_KINDS,
  ...DEVICE_KINDS,
  ...SURROUNDING_KINDS,
] as const;
export type Kind = (typeof KINDS)[number];
/** Kinds that water does not run through. */
export type OtherKind = (typeof PLACE_KINDS | typeof DEVICE_KINDS | typeof SURROUNDING_KINDS)[number];

export const ACTIVITIES = [
  'fueling',
  'wash-bay',
  'parking',
  'workshop',
  'loading',
  'storage',
  'scrap',
  'roadway',
  'roof',
  'landscape',
  'other',
] as const;
export type Activity = (typeof ACTIVITIES)[number];

export const SURFACES = ['asphalt', 'concrete', 'gravel', 'roof', 'grass', 'soil'] as const;
export const OWNERSHIPS = ['private', 'public'] as const;

export const FLUIDS = [
  'gasoline',
  'diesel',
  'motor-oil',
  'hydraulic-oil',
  'gear-oil',
  'coolant',
  'cooking-oil',
  'other',
] as const;
export type Fluid = (typeof FLUIDS)[number];

/** What a map may list as a way to stop oil at a structure, and on a zone's ground. */
export const STRUCTURE_CONTROLS = ['sock', 'cover', 'boom', 'plug', 'valve'] as const;
export const ZONE_CONTROLS = ['berm', 'absorb'] as const;
/** Devices that somebody can turn, as controls of a plan: they need no kit. */
export const DEVICE_CONTROLS = ['fuel-stop', 'pump-switch', 'diverter'] as const;
/** The controls that plans are made of, in the order in which oil meets them. */
export const CONTROLS = [...DEVICE_CONTROLS, ...ZONE_CONTROLS, ...STRUCTURE_CONTROLS] as const;
export type Control = (typeof CONTROLS)[number];

/**
 * What a structure is to the flow: an inlet's grate takes in what runs over the ground; past an end oil has left the
 * yard's drainage, so an end leads nowhere by its nature.
 */
const PARTS: Readonly<Record<StructureKind, 'inlet' | 'on-the-way' | 'end'>> = {
  'catch-basin': 'inlet',
  'trench-drain': 'inlet',
  manhole: 'on-the-way',
  valve: 'on-the-way',
  pond: 'on-the-way',
  separator: 'on-the-way',
  outfall: 'end',
  sanitary: 'end',
  edge: 'end',
};
export const INLET_KINDS = STRUCTURE_KINDS.filter((kind) => PARTS[kind] === 'inlet');
export const END_KINDS = STRUCTURE_KINDS.filter((kind) => PARTS[kind] === 'end');

/** How it is known that a link is there. */
export const LINK_EVIDENCE = ['drawn', 'seen', 'dyed', 'camera', 'smoke', 'guess'] as const;
/** Whether a valve lets water through. */
export const VALVE_STATES = ['open', 'closed', 'unknown'] as const;
/** What the chambers of a separator are for. */
export const CHAMBER_ROLES = ['inlet', 'grit', 'oil', 'media', 'outlet'] as const;

export function isStructureKind(kind: string): kind is StructureKind {
  return STRUCTURE_KINDS.some((each) => each === kind);
}

export function isLinkKind(kind: string): kind is LinkKind {
  return LINK_KINDS.some((each) => each === kind);
}

export function isKind(kind: unknown): kind is Kind {
  return KINDS.some((each) => each === kind);
}
