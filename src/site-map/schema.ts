import * as z from 'zod';
import { LANGUAGES, told } from '../catalogue/index.ts';
import { allows } from './explain.ts';
import { instantOf } from './time.ts';
import {
  ACTIVITIES,
  CHAMBER_ROLES,
  FLUIDS,
  type Kind,
  LINK_EVIDENCE,
  OWNERSHIPS,
  STRUCTURE_CONTROLS,
  SURFACES,
  VALVE_STATES,
  ZONE_CONTROLS,
} from './vocabulary.ts';

/**
 * The site map format, version 1, as zod schemas. Objects are loose: properties that are not listed
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
    .refine((value) => value === 0 || value >= 1e-9, allows(told('map.nothing-or-amount')));
const factor = z.number().min(1).max(1000);
const litres = z.number().min(0).max(1e9);
const minutes = z.number().min(0);
const id = z.string().min(1);
const ids = z.array(id).min(1);
const isDate = (text: string) => instantOf(text, 'UTC') !== undefined;
const date = z.string().refine(isDate, allows(told('map.iso-date')));

// GeoJSON lets a position carry more than longitude and latitude; what follows them is kept and not used.
const position = z.array(z.number()).min(2, allows(told('map.position')));
const line = z.array(position).min(2, allows(told('map.line-positions')));
const ring = z.array(position).min(4, allows(told('map.ring')));
const polygon = z.array(ring).min(1, allows(told('map.rings')));

const pointGeometry = z.looseObject({ type: z.literal('Point', allows(told('map.point'))), coordinates: position });
const lineGeometry = z.looseObject({ type: z.literal('LineString', allows(told('map.line'))), coordinates: line });
const polygonGeometry = z.looseObject({ type: z.literal('Polygon'), coordinates: polygon });
const multiPolygonGeometry = z.looseObject({ type: z.literal('MultiPolygon'), coordinates: z.array(polygon).min(1) });
const pointOrLineGeometry = z.discriminatedUnion(
  'type',
  [pointGeometry, lineGeometry],
  allows(told('map.point-or-line')),
);
const areaGeometry = z.discriminatedUnion('type', [polygonGeometry, multiPolygonGeometry], allows(told('map.area')));
const shapeGeometry = z.discriminatedUnion(
  'type',
  [polygonGeometry, multiPolygonGeometry, lineGeometry],
  allows(told('map.shape')),
);

const controlsOf = <const C extends readonly [string, ...string[]]>(controls: C) =>
  z
    .array(
      z.looseObject({
        control: z.enum(controls),
        cost: money.optional().describe("in the site's currency; default by control"),
        minutes: minutes.optional().describe('minutes to set it up; default by control'),
        holds: share.optional().describe('part of what comes that it keeps, 0 to 1; default by control'),
        litres: litres.optional().describe('litres that it can keep; default by control'),
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
    allows(told('map.drains-to')),
  )
  .describe('where it drains to; left out on a zone, the basins inside it, else the nearest within 40 m');

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
        largestLitres: litres.optional().describe('litres of the largest container'),
        share: share.optional().describe("part of the zone's yield; left out, equal parts"),
        overMinutes: positive.optional().describe('minutes over which the largest container runs out; left out, 10'),
      }),
    )
    .optional(),
  covered: z.boolean().optional(),
  dryFlow: z.boolean().optional().describe('whether its oil gets to the drain without rain; default: wash bays only'),
  controls: controlsOf(ZONE_CONTROLS),
  tenant: z.string().optional().describe('who uses this ground; kept, not used yet'),
  places: z
    .array(z.looseObject({ id, name: z.string().optional() }))
    .optional()
    .describe('named places in the zone, such as pumps or bays; kept, not used yet'),
  release: z
    .looseObject({ litres: positive.optional(), factor: factor.optional() })
    .optional()
    .describe('what one release here is like: litres within ×/÷ factor two times in three; kept, not used yet'),
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
  sumpLitres: litres
    .optional()
    .describe('litres below its outlet, which fill first in dry weather; in rain they stand full'),
  openingMm: positive.optional().describe('millimetres across the opening of its grate; left out, any cover closes it'),
};

const manholeShape = {
  pumped: z
    .looseObject({ lps: positive, startLitres: litres.optional() })
    .optional()
    .describe('a pump empties it: at most lps (L/s), once startLitres stand in it'),
};

const valveShape = {
  state: z.enum(VALVE_STATES).optional().describe('how it stands; left out or unknown, taken to be open'),
  exercised: date.optional().describe('when it was last turned; for a year after that it is quick to close'),
};

const chamber = z.looseObject({
  id,
  role: z.enum(CHAMBER_ROLES).optional(),
  lengthM: positive.optional(),
  widthM: positive.optional(),
  waterDepthM: positive.optional(),
  oilLimitMm: positive.optional(),
  sludgeLimitMm: positive.optional(),
});

const separatorShape = {
  lengthM: positive.optional(),
  widthM: positive.optional(),
  waterDepthM: positive.optional(),
  plates: z.boolean(allows(told('map.true-or-false'))).optional(),
  designFlowLps: positive.optional(),
  oilLimitMm: positive.optional().describe('default 25.4'),
  sludgeLimitMm: positive.optional().describe('default 152'),
  packLitres: positive.optional().describe('litres that its sorbent packs take; default half the oil limit’s litres'),
  roomLitres: litres
    .optional()
    .describe(
      'litres of oil that it still has room for; left out, by its last reading, else 15 L for each L/s of designFlowLps',
    ),
  chambers: z
    .array(chamber)
    .min(1)
    .optional()
    .describe('its chambers, in the order of the flow; together its volume where its own three sides are not stated'),
};

const endShape = { receives: z.string().optional().describe('what it discharges to') };

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
  aboveLps: positive
    .optional()
    .describe(
      'a relief pipe: of the flow in `from` above so many L/s its share goes this way, all where none is stated',
    ),
  known: z.enum(LINK_EVIDENCE).optional().describe('how it is known that it is there; kept, not used yet'),
  wrongChance: share.optional().describe('chance that it is not there; kept, not used yet'),
  direction: z
    .looseObject({ sure: share, by: z.string().optional() })
    .optional()
    .describe('chance that it runs from `from` to `to`, and how that is known; kept, not used yet'),
};

const swaleShape = {
  ...linkShape,
  bedM: z.number().min(0).max(1e6).optional().describe('metres of flat bed; default 0.6'),
  sideSlope: z.number().min(0.01).max(1e3).optional().describe('metres out for each metre up; default 3'),
};

const feature = <G extends z.ZodType, P extends z.ZodType>(geometry: G, properties: P) =>
  z.looseObject({ type: z.literal('Feature'), id, geometry, properties });

const structure = <K extends string, S extends z.ZodRawShape>(kind: K, shape: S) =>
  feature(pointGeometry, z.looseObject({ kind: z.literal(kind), ...structureShape, ...shape }));
const link = <K extends string, S extends z.ZodRawShape>(kind: K, shape: S) =>
  feature(lineGeometry, z.looseObject({ kind: z.literal(kind), ...shape }));
const place = <K extends string, S extends z.ZodRawShape>(kind: K, shape: S) =>
  feature(pointGeometry, z.looseObject({ kind: z.literal(kind), name: z.string().optional(), ...shape }));
const surrounding = <K extends string>(kind: K) =>
  feature(shapeGeometry, z.looseObject({ kind: z.literal(kind), name: z.string().optional() }));

/** One schema for each kind of feature. */
export const featureSchemas = {
  zone: feature(areaGeometry, zoneProperties),
  'catch-basin': structure('catch-basin', {}),
  'trench-drain': structure('trench-drain', {}),
  manhole: structure('manhole', manholeShape),
  valve: structure('valve', valveShape),
  pond: structure('pond', {}),
  separator: structure('separator', separatorShape),
  outfall: structure('outfall', endShape),
  sanitary: structure('sanitary', endShape),
  edge: structure('edge', {}),
  pipe: link('pipe', linkShape),
  swale: link('swale', swaleShape),
  overland: link('overland', linkShape),
  kit: place('kit', {
    contents: z
      .record(z.string(), z.number().min(0))
      .optional()
      .describe('{ "sorbentLitres": 80, "covers": 2, "plugs": 1, "booms": 2, "berms": 1, "socks": 4 }'),
    coverMm: positive.optional().describe('millimetres across its covers; left out, they close any grate'),
  }),
  'kit-spot': place('kit-spot', { cost: money.optional().describe('cost of a kit here') }),
  crew: place('crew', {
    trained: z.boolean().optional().describe('trained to place plugs, from above; left out, no'),
  }),
  'fuel-stop': place('fuel-stop', { stops: ids.describe('ids of the zones whose fuel it turns off') }),
  'pump-switch': place('pump-switch', { stops: ids.describe('ids of the manholes whose pumps it turns off') }),
  diverter: place('diverter', {
    at: id.describe('the structure it stands at'),
    to: id.describe('the structure to which it sends what comes there'),
  }),
  'run-on': feature(
    pointOrLineGeometry,
    z.looseObject({ kind: z.literal('run-on'), name: z.string().optional(), drainsTo: drainsTo.optional() }),
  ),
  building: surrounding('building'),
  'property-line': surrounding('property-line'),
  water: surrounding('water'),
} satisfies Record<Kind, z.ZodType>;

const controlCost = z.looseObject({
  cost: money.optional(),
  minutes: minutes.optional(),
  holds: share.optional(),
  litres: litres.optional(),
});

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
        .describe('by control: { "cover": { "cost": 40, "minutes": 2, "holds": 0.95, "litres": 500 } }'),
      cleanup: z
        .record(z.string(), money)
        .optional()
        .describe('by kind of structure: { "manhole": 350 }; an outfall by what it meets: "stream", "public-drain"'),
      pipePerM: money.optional().describe('per metre of pipe or swale that oil has entered; default 12'),
      swalePerM: money.optional().describe('per metre of swale; left out, as pipePerM'),
      callOut: money.optional().describe('once, where oil gets into something whose cost is not stated; default 1200'),
      perLitre: z
        .looseObject({
          stream: money.optional().describe('default 25'),
          publicDrain: money.optional().describe('default 10'),
        })
        .optional()
        .describe('for each litre that gets there; 0: no more for more litres'),
    })
    .optional(),
  odds: z
    .looseObject({
      releaseLitres: z.number().min(1e-6).max(1e6).optional(),
      unmappedShare: share.optional(),
      yieldFactor: factor.optional(),
      histories: z
        .looseObject({ seepage: share.optional(), release: share.optional(), both: share.optional() })
        .optional()
        .describe(
          'chances, before anything is seen, that oil seeped, came in one release, or both; kept, not used yet',
        ),
      background: z
        .looseObject({ litres: positive.optional(), load: positive.optional() })
        .optional()
        .describe('litres of one drip, and how the yearly load compares with what is expected; kept, not used yet'),
      outsideShare: share
        .optional()
        .describe("what may come in from outside, as a part of the yard's load; kept, not used yet"),
      foundChance: z
        .number()
        .min(0.85)
        .max(1)
        .optional()
        .describe('chance at which a source counts as found; kept, not used yet'),
    })
    .optional(),
  responders: z
    .array(z.looseObject({ role: z.string(), callOutMinutes: minutes.optional(), lps: positive.optional() }))
    .optional()
    .describe('who can be called: minutes from the call until they are there, and L/s they can take up'),
  limits: z
    .record(
      z.string(),
      z.union(
        [z.number(), z.looseObject({ least: z.number().optional(), most: z.number().optional() })],
        allows(told('map.limit')),
      ),
    )
    .optional()
    .describe('limits for samples, by what is measured: { "oilAndGreaseMgPerL": 15 }; kept, not used yet'),
  correctiveDays: positive.optional().describe('days in which a fault must be put right; kept, not used yet'),
  language: z.enum(LANGUAGES).optional().describe('the language of who chose none; default "en"'),
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
