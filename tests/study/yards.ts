import { existsSync, readFileSync } from 'node:fs';
import { compileDrainage, type Drainage, oilshed } from '../../src/drainage/index.ts';
import { importLayers, parseImportRules, readSiteMap, type SiteMap, writeSiteMap } from '../../src/site-map/index.ts';
import { yardMap } from '../support/yard.ts';

/** A yard of the study, and the point where its oil is found. */
export interface StudyYard {
  name: string;
  drainage: Drainage;
  at: string;
}

const studyYard = (name: string, map: SiteMap, at = 'SEP-1'): StudyYard => ({
  name,
  drainage: compileDrainage(map),
  at,
});

const demo = (name: string) =>
  studyYard(name.replaceAll('-', ' '), readSiteMap(readFileSync(`site-maps/${name}.geojson`, 'utf8')).map);

export const demoYards = (): StudyYard[] => ['two-bay-garage', 'gravel-haul-yard', 'freight-depot'].map(demo);

const RICHMOND = '../shared/data/vermont-richmond';

/** Storm drains of Richmond, Vermont, seen from the outfall that most zones reach; null where the records are not there. */
export function richmondYard(): StudyYard | null {
  if (!existsSync(RICHMOND)) return null;
  const layers = ['point-features', 'linear-features'].map((name) => ({
    name,
    text: readFileSync(`${RICHMOND}/${name}.geojson`, 'utf8'),
  }));
  const rules = parseImportRules({
    keep: ['SystemType=Stormwater'],
    kind: ['Type=2:catch-basin,8:manhole,9:outfall,2:pipe,4:swale'],
  });
  const { file } = importLayers(layers, { ...rules, zones: {} });
  const { map } = readSiteMap(writeSiteMap(file));
  const drainage = compileDrainage(map);
  const outfalls = map.structures.filter(({ kind }) => kind === 'outfall').map(({ id }) => id);
  const reached = new Map(outfalls.map((id) => [id, oilshed(drainage, id).length]));
  const [at] = outfalls.sort((a, b) => (reached.get(b) as number) - (reached.get(a) as number));
  return { name: 'Richmond', drainage, at };
}

/** Made-up yards of three, four and five zones: a line, a star and a tree with a split. */
export function smallYards(): StudyYard[] {
  const basin = { kind: 'catch-basin' };
  const end = { 'SEP-1': { kind: 'separator' }, 'OUT-1': { kind: 'outfall' } };
  const out = { P9: { from: 'SEP-1', to: 'OUT-1' } };
  const line = yardMap({
    zones: {
      Z1: { activity: 'workshop', areaM2: 500, drainsTo: 'CB-1' },
      Z2: { activity: 'parking', areaM2: 2000, drainsTo: 'CB-2' },
      Z3: { activity: 'fueling', areaM2: 400, drainsTo: 'CB-3' },
    },
    structures: { 'CB-1': basin, 'CB-2': basin, 'CB-3': basin, ...end },
    links: {
      P1: { from: 'CB-1', to: 'CB-2' },
      P2: { from: 'CB-2', to: 'CB-3' },
      P3: { from: 'CB-3', to: 'SEP-1' },
      ...out,
    },
  });
  const star = yardMap({
    zones: {
      Z1: { activity: 'workshop', areaM2: 400, drainsTo: 'MH-1' },
      Z2: { activity: 'workshop', areaM2: 800, drainsTo: 'MH-2' },
      Z3: { activity: 'parking', areaM2: 3000, drainsTo: 'MH-3' },
      Z4: { activity: 'parking', areaM2: 1000, drainsTo: 'MH-4' },
    },
    structures: {
      'MH-1': { kind: 'manhole' },
      'MH-2': { kind: 'manhole' },
      'MH-3': { kind: 'manhole' },
      'MH-4': { kind: 'manhole' },
      ...end,
    },
    links: {
      P1: { from: 'MH-1', to: 'SEP-1' },
      P2: { from: 'MH-2', to: 'SEP-1' },
      P3: { from: 'MH-3', to: 'SEP-1' },
      P4: { from: 'MH-4', to: 'SEP-1' },
      ...out,
    },
  });
  const tree = yardMap({
    zones: {
      Z1: { activity: 'fueling', areaM2: 600, drainsTo: 'CB-1' },
      Z2: { activity: 'parking', areaM2: 2500, drainsTo: 'CB-2' },
      Z3: { activity: 'parking', areaM2: 1500, drainsTo: 'CB-3' },
      Z4: { activity: 'loading', areaM2: 900, drainsTo: 'CB-3' },
      Z5: { activity: 'scrap', areaM2: 300, drainsTo: 'CB-4' },
    },
    structures: {
      'CB-1': basin,
      'CB-2': basin,
      'CB-3': basin,
      'CB-4': basin,
      'MH-1': { kind: 'manhole' },
      'OUT-2': { kind: 'outfall' },
      ...end,
    },
    links: {
      P1: { from: 'CB-1', to: 'MH-1' },
      P2: { from: 'CB-2', to: 'MH-1' },
      P3: { from: 'MH-1', to: 'SEP-1', share: 0.7 },
      P4: { from: 'MH-1', to: 'OUT-2', share: 0.3 },
      P5: { from: 'CB-3', to: 'CB-4' },
      P6: { from: 'CB-4', to: 'SEP-1' },
      ...out,
    },
  });
  return [studyYard('line of 3', line), studyYard('star of 4', star), studyYard('tree of 5', tree)];
}

/** Eight equal zones on one line, each at a manhole of its own: of which any order must open 3 on average, log₂ 8. */
export function lineOfEight(): StudyYard {
  const places = [1, 2, 3, 4, 5, 6, 7, 8];
  const map = yardMap({
    zones: Object.fromEntries(
      places.map((at) => [`Z${at}`, { activity: 'parking', areaM2: 2000, drainsTo: `MH-${at}` }]),
    ),
    structures: {
      ...Object.fromEntries(places.map((at) => [`MH-${at}`, { kind: 'manhole' }])),
      'SEP-1': { kind: 'separator' },
    },
    links: Object.fromEntries(
      places.map((at) => [`P${at}`, { from: `MH-${at}`, to: at === 8 ? 'SEP-1' : `MH-${at + 1}` }]),
    ),
  });
  return studyYard('line of 8', map);
}
