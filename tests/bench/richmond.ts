import { existsSync, readFileSync } from 'node:fs';
import { importLayers, parseImportRules, readSiteMap, type SiteMap, writeSiteMap } from '../../src/site-map/index.ts';

/** Where the public records of Richmond's storm drains stand, beside the project. */
export const RICHMOND = '../shared/data/vermont-richmond';

/** The town's map with a zone for every catch basin; null where the records are not there. */
export function richmondMap(): SiteMap | null {
  if (!existsSync(RICHMOND)) return null;
  const layers = ['point', 'linear'].map((name) => ({
    name,
    text: readFileSync(`${RICHMOND}/${name}-features.geojson`, 'utf8'),
  }));
  const rules = parseImportRules({
    keep: ['SystemType=Stormwater'],
    kind: ['Type=2:catch-basin,8:manhole,9:outfall,2:pipe,4:swale'],
  });
  return readSiteMap(writeSiteMap(importLayers(layers, { ...rules, zones: {} }).file)).map;
}
