/** The words a site map may use (contract §1). Everything that lists kinds, activities or controls takes them from here. */

export const STRUCTURE_KINDS = [
  'catch-basin',
  'trench-drain',
  'manhole',
  'valve',
  'pond',
  'separator',
  'outfall',
  'sanitary',
] as const;
export type StructureKind = (typeof STRUCTURE_KINDS)[number];

export const LINK_KINDS = ['pipe', 'swale', 'overland'] as const;
export type LinkKind = (typeof LINK_KINDS)[number];

export const PLACE_KINDS = ['kit', 'kit-spot', 'crew'] as const;
export const SURROUNDING_KINDS = ['building', 'property-line', 'water'] as const;

/** Every kind of feature, in the order in which a written map lists them. */
export const KINDS = ['zone', ...STRUCTURE_KINDS, ...LINK_KINDS, ...PLACE_KINDS, ...SURROUNDING_KINDS] as const;
export type Kind = (typeof KINDS)[number];
/** Kinds that water does not run through. */
export type OtherKind = (typeof PLACE_KINDS | typeof SURROUNDING_KINDS)[number];

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

/** Controls that go at a structure; `berm` is the one that goes on a zone's ground. */
export const STRUCTURE_CONTROLS = ['cover', 'boom', 'plug', 'valve'] as const;
export const CONTROLS = [...STRUCTURE_CONTROLS, 'berm'] as const;
export type Control = (typeof CONTROLS)[number];

/** Structures whose grate takes in what runs over the ground. */
export const INLET_KINDS: readonly StructureKind[] = ['catch-basin', 'trench-drain'];
/** Structures past which oil has left the yard's drainage: they lead nowhere by their nature. */
export const END_KINDS: readonly StructureKind[] = ['outfall', 'sanitary'];

export function isStructureKind(kind: string): kind is StructureKind {
  return (STRUCTURE_KINDS as readonly string[]).includes(kind);
}

export function isLinkKind(kind: string): kind is LinkKind {
  return (LINK_KINDS as readonly string[]).includes(kind);
}

export function isKind(kind: unknown): kind is Kind {
  return (KINDS as readonly unknown[]).includes(kind);
}
