import type { MapFile } from './model.ts';
import { KINDS } from './vocabulary.ts';

const rank = new Map<string, number>(KINDS.map((kind, at) => [kind, at]));
const compareIds = new Intl.Collator('en', { numeric: true }).compare;

/**
 * Ids in reading order: "CB-2" before "CB-10"; equal only when they are the same text.
 *
 * @example
 * import { byId } from 'oilshed/site-map';
 * ['CB-10', 'CB-2'].sort(byId); // → ['CB-2', 'CB-10']
 */
export function byId(a: string, b: string): number {
  return compareIds(a, b) || (a < b ? -1 : a > b ? 1 : 0);
}

/**
 * Writes a site map as GeoJSON text: `type` and `site` first, other members of the file as they were, one feature on a
 * line, features in the order of their kinds and ids. Properties nobody listed are written back untouched. The same
 * map gives the same text. O(features · log(features)).
 */
export function writeSiteMap(file: MapFile): string {
  const { type, site, features, ...foreign } = file;
  const ordered = [...features].sort(
    (a, b) => (rank.get(a.properties.kind) ?? 0) - (rank.get(b.properties.kind) ?? 0) || byId(a.id, b.id),
  );
  const head = { type, site, ...foreign };
  const start = JSON.stringify(head, null, 1).replace(/\n\}$/, '');
  return `${start},\n "features": [\n${ordered.map((feature) => `  ${JSON.stringify(feature)}`).join(',\n')}\n ]\n}\n`;
}
