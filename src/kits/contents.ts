import type { Drainage } from '../drainage/index.ts';
import { INLET_KINDS, isOfKind, type SiteMap, type Zone } from '../site-map/index.ts';
import { largestContainer } from '../spill/index.ts';

/** What a kit should hold for the zones it serves. Litres of oil its sorbent takes up, and numbers of controls. */
export interface KitContents {
  sorbentLitres: number;
  covers: number;
  plugs: number;
  booms: number;
}

/** One boom for this much oil, and never fewer than two, which close a ring. A guess. */
const LITRES_PER_BOOM = 100;
const FEWEST_BOOMS = 2;

/**
 * What a kit needs: sorbent for the largest container of the zones it serves, a cover for every grate that one of
 * them drains to, a plug where one of those has an outlet to close, and booms by the litres. The largest single zone
 * decides, not the sum: one spill at a time is planned for. Socks are not counted by themselves: a plan takes one for each
 * 20 L of a kit's sorbent. All zeros where it serves no zone. O(structures + inlets).
 */
export function contentsFor({ map }: Drainage, zones: readonly Zone[]): KitContents {
  const grates = new Set(map.structures.filter(({ kind }) => INLET_KINDS.includes(kind)).map(({ id }) => id));
  const sorbentLitres = zones.reduce((most, zone) => Math.max(most, largestContainer(zone).litres), 0);
  const covers = zones.reduce(
    (most, { inlets }) => Math.max(most, inlets.filter(({ to }) => grates.has(to)).length),
    0,
  );
  return {
    sorbentLitres,
    covers,
    plugs: zones.some(({ inlets }) => inlets.length > 0) ? 1 : 0,
    booms: zones.length === 0 ? 0 : Math.max(FEWEST_BOOMS, Math.ceil(sorbentLitres / LITRES_PER_BOOM)),
  };
}

/**
 * What a standing kit lacks of what it needs, item by item, without those that it has enough of; null where it lists no
 * contents, so nobody can tell, or where no kit has that id. What it has too much of is not told. O(features).
 */
export function refillFor({ others }: SiteMap, kit: string, needs: KitContents): Partial<KitContents> | null {
  const found = others.find(({ id }) => id === kit);
  const held = found && isOfKind(found, 'kit') ? found.properties.contents : undefined;
  if (!held) return null;
  return Object.fromEntries(
    Object.entries<number>({ ...needs })
      .map(([item, needed]) => [item, needed - (held[item] ?? 0)] as const)
      .filter(([, lacks]) => lacks > 0),
  );
}
