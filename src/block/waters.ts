import type { Link, Structure } from '../site-map/index.ts';

/**
 * Whether oil there is past saving by the owner: at every outfall, where the map ends, and in what is public; not in a
 * sanitary connection, which leads to a plant.
 */
export function isWater(item: Structure | Link): boolean {
  if (item.kind === 'outfall' || item.kind === 'edge') return true;
  return item.kind !== 'sanitary' && item.properties.ownership === 'public';
}

/** The ids of those among what oil gets into. */
export const watersIn = (fouled: readonly { item: Structure | Link }[]): string[] =>
  fouled.flatMap(({ item }) => (isWater(item) ? [item.id] : []));
