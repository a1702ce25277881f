import * as z from 'zod';
import { ACTIVITIES, FLUIDS, type Kind, OWNERSHIPS, STRUCTURE_CONTROLS, SURFACES } from './vocabulary.ts';

/**
 * The site map format, version 1 (contract §1), as zod schemas. Objects are loose: properties that are not listed
 * are kept as they are. `docs/site-map.schema.json` is generated from here, so every field says its unit and default.
 */

const share = z.number().min(0).max(1);
// Upper bounds are far above any yard: they keep absurd figures from ending in infinities.
const money = z.number().min(0).max(1e12);
// So do lower bounds: products of smaller figures come out as 0, which nothing can be divided by.
const positive = z.number().min(1e-6).max(1e9);
/** Nothing, or an amount that stays one when it is multiplied. */
const noneOr = (most: number) =>
  z
    .number()
    .min(0)
    .max(most)
    .refine((value) => value === 0 || value >= 1e-9, { error: '0, or a number of 1e-9 or more' });
const factor = z.number().min(1).max(1000);
const id = z.string().min(1);

// GeoJSON lets a position carry more than longitude and latitude; what follows them is kept and not used.
const position = z.array(z.number()).min(2, { error: 'a position: [longitude, latitude]' });
const line = z.array(position).min(2, { error: 'two or more positions' });
const ring = z.array(position).min(4, { error: 'a ring of four or more positions, the last equal to the first' });
const polygon = z.array(ring).min(1, { error: 'one outer ring, then any holes' });

const pointGeometry = z.looseObject({ type: z.literal('Point', { error: 'a Point' }), coordinates: position });
const lineGeometry = z.looseObject({ type: z.literal('LineString', { error: 'a LineString' }), coordinates: line });
const polygonGeometry = z.looseObject({ type: z.literal('Polygon'), coordinates: polygon });
const multiPolygonGeometry = z.looseObject({ type: z.literal('MultiPolygon'), coordinates: z.array(polygon).min(1) });
const areaGeometry = z.discriminatedUnion('type', [polygonGeometry, multiPolygonGeometry], {
  error: 'a Polygon or a MultiPolygon',
});
const shapeGeometry = z.discriminatedUnion('type', [polygonGeometry, multiPolygonGeometry, lineGeometry], {
  error: 'a Polygon, a MultiPolygon or a LineString',
});

const controlsOf = <const C extends readonly [string, ...string[]]>(controls: C) =>
  z
    .array(
      z.looseObject({
        control: z.enum(controls),
        cost: money.optional().describe("in the site's currency; default by control"),
        minutes: z.number().min(0).optional().describe('minutes to set it up; default by control'),
      }),
    )
    .optional()
    .describe('ways to stop oil here; [] = none possible; left out, the defaults by kind');

const drainsTo = z
  .union(
    [
      id,
      z
        .array(z.looseObject({ to: id, share: share.optional().describe('left out, an equal part of the rest') }))
        .min(1),
    ],
    { error: 'a structure\'s id, or a list of { "to": id, "share": 0 to 1 }' },
  )
  .describe('where this zone drains to; left out, the basins inside it, else the nearest within 40 m');

const zoneProperties = z.looseObject({
  kind: z.literal('zone'),
  name: z.string().optional(),
  activity: z.enum(ACTIVITIES),
  surface: z.enum(SURFACES).optional(),
  drainsTo: drainsTo.optional(),
  areaM2: noneOr(1e12).optional().describe('m²; left out, the geodesic area of the polygon'),
  slope: z.number().min(0).optional().describe('fall ÷ length; default 0.02'),
  runoffC: share.optional().describe('runoff coefficient, 0 to 1'),
  weight: noneOr(1e6).optional().describe("multiplies the activity's yield; default 1"),
  oilLitresPerYear: noneOr(1e9)
    .optional()
    .describe("litres of floating oil released in a year; left out, area × the activity's yield × weight"),
  yieldFactor: factor.optional().describe('how rough its yield is, ×/÷ two times in three; 1 = known'),
  fluids: z
    .array(
      z.looseObject({
        fluid: z.enum(FLUIDS),
        largestLitres: z.number().min(0).max(1e9).optional(),
        share: share.optional(),
      }),
    )
    .optional(),
  covered: z.boolean().optional(),
  dryFlow: z.boolean().optional().describe('whether its oil gets to the drain without rain; default: wash bays only'),
  controls: controlsOf(['berm']),
});

const structureShape = {
  name: z.string().optional(),
  rim: z.number().optional().describe('metres above one datum'),
  invert: z.number().optional().describe('metres above one datum'),
  holds: share.optional().describe('fraction of passing oil that stays in it; default by kind'),
  insert: z
    .looseObject({ holds: share, litres: z.number().min(0).optional() })
    .optional()
    .describe('an oil-catching insert in the inlet: acts on what comes in over the surface'),
  ownership: z.enum(OWNERSHIPS).optional(),
  setting: z
    .enum(['sag', 'on-grade'])
    .optional()
    .describe('whether a covered grate ponds (sag) or lets the flow run on'),
  spillsTo: id.optional().describe('the inlet that takes what runs past this one'),
  controls: controlsOf(STRUCTURE_CONTROLS),
  cleanupCost: money.optional().describe('cost of cleaning it once oil has got in; default by kind'),
};

const separatorShape = {
  lengthM: positive.optional(),
  widthM: positive.optional(),
  waterDepthM: positive.optional(),
  plates: z.boolean({ error: 'true or false' }).optional(),
  designFlowLps: positive.optional(),
  oilLimitMm: positive.optional().describe('default 25.4'),
  sludgeLimitMm: positive.optional().describe('default 152'),
  packLitres: positive.optional().describe('litres that its sorbent packs take; default half the oil limit’s litres'),
};

const linkShape = {
  name: z.string().optional(),
  ownership: z.enum(OWNERSHIPS).optional(),
  from: id,
  to: id,
  diameterMm: positive.optional(),
  slope: z.number().optional().describe('fall ÷ length'),
  fromInvert: z.number().optional().describe('metres above one datum'),
  toInvert: z.number().optional().describe('metres above one datum'),
  roughness: positive.optional().describe("Manning's n; default 0.013, for swales 0.03"),
  lengthM: positive.optional().describe('left out, the geodesic length of the line'),
  share: share
    .optional()
    .describe('fraction of what leaves `from` that goes this way; left out, an equal part of the rest'),
};

const swaleShape = {
  ...linkShape,
  bedM: z.number().min(0).max(1e6).optional().describe('metres of flat bed; default 0.6'),
  sideSlope: z.number().min(0.01).max(1e3).optional().describe('metres out for each metre up; default 3'),
};

const feature = <G extends z.ZodType, P extends z.ZodType>(geometry: G, properties: P) =>
  z.looseObject({ type: z.literal('Feature'), id, geometry, properties });

const structure = <K extends string>(kind: K) =>
  feature(pointGeometry, z.looseObject({ kind: z.literal(kind), ...structureShape }));
const end = <K extends string>(kind: K) =>
  feature(
    pointGeometry,
    z.looseObject({
      kind: z.literal(kind),
      ...structureShape,
      receives: z.string().optional().describe('what it discharges to'),
    }),
  );
const link = <K extends string, S extends z.ZodRawShape>(kind: K, shape: S) =>
  feature(lineGeometry, z.looseObject({ kind: z.literal(kind), ...shape }));
const surrounding = <K extends string>(kind: K) =>
  feature(shapeGeometry, z.looseObject({ kind: z.literal(kind), name: z.string().optional() }));

/** One schema for each kind of feature. */
export const featureSchemas = {
  zone: feature(areaGeometry, zoneProperties),
  'catch-basin': structure('catch-basin'),
  'trench-drain': structure('trench-drain'),
  manhole: structure('manhole'),
  valve: structure('valve'),
  pond: structure('pond'),
  separator: feature(
    pointGeometry,
    z.looseObject({ kind: z.literal('separator'), ...structureShape, ...separatorShape }),
  ),
  outfall: end('outfall'),
  sanitary: end('sanitary'),
  pipe: link('pipe', linkShape),
  swale: link('swale', swaleShape),
  overland: link('overland', linkShape),
  kit: feature(
    pointGeometry,
    z.looseObject({
      kind: z.literal('kit'),
      name: z.string().optional(),
      contents: z.record(z.string(), z.number().min(0)).optional(),
    }),
  ),
  'kit-spot': feature(
    pointGeometry,
    z.looseObject({ kind: z.literal('kit-spot'), name: z.string().optional(), cost: money.optional() }),
  ),
  crew: feature(pointGeometry, z.looseObject({ kind: z.literal('crew'), name: z.string().optional() })),
  building: surrounding('building'),
  'property-line': surrounding('property-line'),
  water: surrounding('water'),
} satisfies Record<Kind, z.ZodType>;

const controlCost = z.looseObject({ cost: money.optional(), minutes: z.number().min(0).optional() });

const measureChange = z.looseObject({
  cut: share.optional().describe('part of the oil that it keeps back'),
  low: share.optional(),
  high: share.optional(),
  firstCost: money.optional(),
  firstCostPerM2: money.optional(),
  yearlyCost: money.optional(),
  yearlyCostPerM2: money.optional(),
});

export const siteSchema = z.looseObject({
  format: z.literal('oilshed-site'),
  version: z.literal(1),
  name: z.string().optional(),
  units: z.enum(['us', 'si']).optional().describe('default "si"'),
  currency: z.string().optional().describe('default "USD"'),
  timeZone: z.string().optional().describe('IANA name; default "UTC"'),
  contacts: z
    .array(z.looseObject({ role: z.string(), name: z.string().optional(), phone: z.string().optional() }))
    .optional(),
  costs: z
    .looseObject({
      controls: z
        .record(z.string(), controlCost)
        .optional()
        .describe('by control: { "cover": { "cost": 40, "minutes": 2 } }'),
      cleanup: z
        .record(z.string(), money)
        .optional()
        .describe('by kind of structure: { "manhole": 350 }; an outfall by what it meets: "stream", "public-drain"'),
      pipePerM: money.optional().describe('per metre of pipe or swale that oil has entered; default 12'),
      swalePerM: money.optional().describe('per metre of swale; left out, as pipePerM'),
    })
    .optional(),
  odds: z
    .looseObject({
      releaseLitres: z.number().min(1e-6).max(1e6).optional(),
      unmappedShare: share.optional(),
      yieldFactor: factor.optional(),
    })
    .optional(),
  inspectEveryDays: positive.optional().describe('longest interval between visits that a permit allows'),
  measures: z
    .record(z.string(), z.union([z.literal(false), measureChange]))
    .optional()
    .describe('changes to the table of measures, by name: { "sweeping": { "cut": 0.2 }, "roof": false }'),
  walking: z
    .looseObject({
      speedMps: positive.optional().describe('metres a second on foot; default 1.2'),
      detour: z.number().min(1).optional().describe('way ÷ straight line, where no building is drawn; default 1.25'),
    })
    .optional(),
});

/** The whole file, for `docs/site-map.schema.json`; the reader checks feature by feature, so as to return every problem. */
export const siteMapSchema = z.looseObject({
  type: z.literal('FeatureCollection'),
  site: siteSchema,
  features: z.array(z.union(Object.values(featureSchemas))),
});

export type Site = z.infer<typeof siteSchema>;
/** A feature as its schema reads it. A union by `properties.kind` where more than one kind is meant. */
export type Feature<K extends Kind = Kind> = { [Each in K]: z.infer<(typeof featureSchemas)[Each]> }[K];
export type Position = z.infer<typeof position>;
export type AreaGeometry = z.infer<typeof areaGeometry>;
