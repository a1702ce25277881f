import { type Told, told } from '../catalogue/index.ts';
import type { SiteMap } from '../site-map/index.ts';
import type { BackingUp, PlannedControl } from './answer.ts';

/**
 * What to see to when carrying a plan out: a covered grate must pond, or the oil runs on over the ground; in rain it
 * floods; a closed outlet fills the yard above it.
 */
export function whilePlacing(
  { structures }: SiteMap,
  controls: readonly Pick<PlannedControl, 'at' | 'control'>[],
  { rainMmPerH, backingUp }: { rainMmPerH: number; backingUp: readonly BackingUp[] },
): Told[] {
  const byId = new Map(structures.map((structure) => [structure.id, structure]));
  const covers = controls
    .filter(({ control }) => control === 'cover')
    .flatMap(({ at }) => {
      const { setting, spillsTo } = byId.get(at)?.properties ?? {};
      const next = spillsTo ?? told('block.next-inlet');
      const flood = rainMmPerH > 0 ? [told('block.will-flood', { at })] : [];
      if (setting === 'sag') return flood;
      return setting === 'on-grade'
        ? [told('block.runs-on', { at, next }), ...flood]
        : [told('block.check-ponds', { at, next }), ...flood];
    });
  return [...covers, ...backingUp.map(({ at }) => told('block.watch-outlet', { at }))];
}
