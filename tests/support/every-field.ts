/** A small yard in which every kind of feature stands with every field that the format lists, each of another value than its default. */

const [LON, LAT] = [-105.3, 40.7];
/** A position so many steps of some 10 m east and south of the yard's corner. */
const at = (east: number, south: number): [number, number] => [
  Number((LON + 0.0001 * east).toFixed(6)),
  Number((LAT - 0.0001 * south).toFixed(6)),
];
const square = (east: number, south: number, edge = 3) => [
  [at(east, south), at(east + edge, south), at(east + edge, south + edge), at(east, south + edge), at(east, south)],
];

const feature = (id: string, kind: string, type: string, coordinates: unknown, properties: object) => ({
  type: 'Feature',
  id,
  geometry: { type, coordinates },
  properties: { kind, name: `The ${kind}`, ...properties },
});

const structure = (id: string, kind: string, position: unknown, properties: object = {}) =>
  feature(id, kind, 'Point', position, {
    rim: 12,
    invert: 10.5,
    holds: 0.2,
    insert: { holds: 0.15, litres: 8 },
    ownership: 'private',
    setting: 'sag',
    spillsTo: 'TD-1',
    controls: [
      { control: 'cover', cost: 45, minutes: 3, holds: 0.9, litres: 500 },
      { control: 'sock', cost: 20, minutes: 1, holds: 0.8, litres: 40 },
    ],
    cleanupCost: 400,
    sumpLitres: 120,
    openingMm: 600,
    ...properties,
  });

const link = (id: string, kind: string, [from, to]: [string, string], path: unknown, properties: object = {}) =>
  feature(id, kind, 'LineString', path, {
    ownership: 'private',
    from,
    to,
    diameterMm: 250,
    slope: 0.02,
    fromInvert: 10.5,
    toInvert: 10.4,
    roughness: 0.012,
    lengthM: 12,
    share: 1,
    aboveLps: 40,
    known: 'dyed',
    wrongChance: 0.05,
    direction: { sure: 0.9, by: 'dye' },
    ...properties,
  });

const sizes = { lengthM: 3, widthM: 1.5, waterDepthM: 1.2, oilLimitMm: 30, sludgeLimitMm: 150 };

const site = {
  format: 'oilshed-site',
  version: 1,
  name: 'Every field',
  units: 'us',
  currency: 'USD',
  timeZone: 'America/Denver',
  contacts: [{ role: 'spill contractor', name: 'A. Person', phone: '555-0100' }],
  costs: {
    controls: { cover: { cost: 40, minutes: 2, holds: 0.95, litres: 300 }, sock: { cost: 18, holds: 0.7 } },
    cleanup: { manhole: 360, edge: 9000 },
    pipePerM: 13,
    swalePerM: 150,
    callOut: 1100,
    perLitre: { stream: 40, publicDrain: 25 },
  },
  odds: {
    releaseLitres: 3,
    unmappedShare: 0.05,
    yieldFactor: 3,
    histories: { seepage: 0.5, release: 0.25, both: 0.25 },
    background: { litres: 0.1, load: 1.2 },
    outsideShare: 0.2,
    foundChance: 0.92,
  },
  inspectEveryDays: 60,
  measures: {
    sweeping: { cut: 0.2, low: 0.1, high: 0.3, firstCost: 10, firstCostPerM2: 1, yearlyCost: 20, yearlyCostPerM2: 0.4 },
    roof: false,
  },
  walking: { speedMps: 1.3, detour: 1.2 },
  responders: [{ role: 'vacuum truck', callOutMinutes: 90, lps: 10 }],
  limits: { oilAndGreaseMgPerL: 15, pH: { least: 6, most: 9 } },
  correctiveDays: 14,
  language: 'es',
};

const features = [
  feature('Z-1', 'zone', 'Polygon', square(0, 0), {
    activity: 'fueling',
    surface: 'concrete',
    drainsTo: [{ to: 'CB-1', share: 0.7 }, { to: 'TD-1' }],
    areaM2: 900,
    slope: 0.03,
    runoffC: 0.85,
    weight: 1.5,
    oilLitresPerYear: 12,
    yieldFactor: 2.5,
    fluids: [{ fluid: 'diesel', largestLitres: 400, share: 1, overMinutes: 12 }],
    covered: false,
    dryFlow: true,
    controls: [
      { control: 'berm', cost: 55, minutes: 4, holds: 0.7, litres: 100 },
      { control: 'absorb', cost: 15, minutes: 3, holds: 0.9, litres: 60 },
    ],
    tenant: 'Tenant one',
    places: [{ id: 'Z-1/pump-1', name: 'Pump 1' }],
    release: { litres: 4, factor: 3 },
  }),
  feature('Z-2', 'zone', 'MultiPolygon', [square(4, 0)], { activity: 'parking', drainsTo: 'CB-1' }),
  structure('CB-1', 'catch-basin', at(1, 1)),
  structure('TD-1', 'trench-drain', at(2, 2), { setting: 'on-grade', spillsTo: 'CB-1' }),
  structure('MH-1', 'manhole', at(3, 4), { pumped: { lps: 6, startLitres: 200 } }),
  structure('V-1', 'valve', at(4, 5), {
    state: 'closed',
    exercised: '2026-03-14',
    controls: [{ control: 'valve', cost: 10, minutes: 2, holds: 0.99, litres: 900 }],
  }),
  structure('POND-1', 'pond', at(9, 7)),
  structure('SEP-1', 'separator', at(5, 6), {
    ...sizes,
    plates: true,
    designFlowLps: 15,
    packLitres: 20,
    roomLitres: 180,
    chambers: [
      { id: 'SEP-1/in', role: 'inlet', ...sizes },
      { id: 'SEP-1/out', role: 'outlet', ...sizes },
    ],
  }),
  structure('OUT-1', 'outfall', at(8, 8), {
    receives: 'a brook',
    controls: [{ control: 'boom', cost: 60, minutes: 5, holds: 0.7, litres: 15 }],
  }),
  structure('SAN-1', 'sanitary', at(6, 9), { receives: 'the town sewer' }),
  structure('EDGE-1', 'edge', at(12, 7)),
  link('P-1', 'pipe', ['CB-1', 'MH-1'], [at(1, 1), at(3, 4)]),
  link('P-2', 'pipe', ['MH-1', 'V-1'], [at(3, 4), at(4, 5)]),
  link('P-3', 'pipe', ['V-1', 'SEP-1'], [at(4, 5), at(5, 6)]),
  link('P-4', 'pipe', ['SEP-1', 'OUT-1'], [at(5, 6), at(8, 8)], { share: 0.6 }),
  link('P-5', 'pipe', ['SEP-1', 'SAN-1'], [at(5, 6), at(6, 9)], { share: 0.3 }),
  link('P-6', 'pipe', ['SEP-1', 'POND-1'], [at(5, 6), at(9, 7)], { share: 0.1 }),
  link('S-1', 'swale', ['POND-1', 'EDGE-1'], [at(9, 7), at(12, 7)], { bedM: 0.5, sideSlope: 2 }),
  link('O-1', 'overland', ['TD-1', 'MH-1'], [at(2, 2), at(3, 4)]),
  feature('KIT-1', 'kit', 'Point', at(2, 5), {
    contents: { sorbentLitres: 80, covers: 2, plugs: 1, booms: 2, berms: 1, socks: 4 },
    coverMm: 750,
  }),
  feature('SPOT-1', 'kit-spot', 'Point', at(6, 2), { cost: 300 }),
  feature('CREW-1', 'crew', 'Point', at(7, 3), { trained: true }),
  feature('STOP-1', 'fuel-stop', 'Point', at(3, 0), { stops: ['Z-1'] }),
  feature('SW-1', 'pump-switch', 'Point', at(3, 5), { stops: ['MH-1'] }),
  feature('DIV-1', 'diverter', 'Point', at(4, 6), { at: 'V-1', to: 'POND-1' }),
  feature('RUN-1', 'run-on', 'LineString', [at(-2, 1), at(-1, 2)], { drainsTo: [{ to: 'CB-1', share: 1 }] }),
  feature('RUN-2', 'run-on', 'Point', at(-2, 3), { drainsTo: 'TD-1' }),
  feature('B-1', 'building', 'Polygon', square(9, 0, 2), {}),
  feature('PL-1', 'property-line', 'LineString', [at(-3, -2), at(15, -2)], {}),
  feature('W-1', 'water', 'LineString', [at(0, 12), at(15, 12)], {}),
];

/** The map as a value, made anew at each call. */
export const everyField = () => structuredClone({ type: 'FeatureCollection', site, features });
