import type { Drainage } from '../drainage/index.ts';
import { INLET_KINDS, type SiteMap, type Zone } from '../site-map/index.ts';
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
 * them drains to, a plug where one of those has an outlet to close, and booms by the litres.
 */
export function contentsFor({ map }: Drainage, zones: readonly Zone[]): KitContents {
  const kinds = new Map(map.structures.map(({ id, kind }) => [id, kind]));
  const isGrate = (id: string) => INLET_KINDS.includes(kinds.get(id) as (typeof INLET_KINDS)[number]);
  const sorbentLitres = zones.reduce((most, zone) => Math.max(most, largestContainer(zone).litres), 0);
  const covers = zones.reduce((most, { inlets }) => Math.max(most, inlets.filter(({ to }) => isGrate(to)).length), 0);
  return {
    sorbentLitres,
    covers,
    plugs: zones.some(({ inlets }) => inlets.length > 0) ? 1 : 0,
    booms: zones.length === 0 ? 0 : Math.max(FEWEST_BOOMS, Math.ceil(sorbentLitres / LITRES_PER_BOOM)),
  };
}

/** What a standing kit lacks of what it needs; null where it lists no contents, so nobody can tell. */
export function refillFor({ others }: SiteMap, kit: string, needs: KitContents): Partial<KitContents> | null {
  const found = others.find(({ id }) => id === kit)?.properties as { contents?: Record<string, number> } | undefined;
  if (!found?.contents) return null;
  const held = found.contents;
  return Object.fromEntries(
    (Object.keys(needs) as (keyof KitContents)[])
      .map((item) => [item, needs[item] - (held[item] ?? 0)] as const)
      .filter(([, lacks]) => lacks > 0),
  );
}
