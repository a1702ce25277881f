import type { DrawnYard } from './drawn.ts';
import { type Flat, pathOf, type Transform, toPixels } from './flat.ts';
import type { FlatYard } from './flat-yard.ts';
import { areaPath } from './ground.tsx';
import { markSize, NAMED_FROM } from './mark-size.ts';

const RING = 17;

/**
 * What drains to what is picked, broken lines beside the links and round the marks, and what it drains to, whole ones: told
 * apart by the line and not by its colour. Drawn under the links. Each side is one path, so that a town's is drawn as fast.
 */
export function Ways({ flat, transform, ways }: DrawnYard) {
  if (!ways) return null;
  return (
    <g class="ways">
      <path class="way-up" d={linksPath({ flat, transform, ids: ways.up })} />
      <path class="way-up-edge" d={edgesPath({ flat, transform, ids: ways.up })} />
      <path class="way-down" d={linksPath({ flat, transform, ids: ways.down })} />
      <path class="way-down-edge" d={edgesPath({ flat, transform, ids: ways.down })} />
    </g>
  );
}

interface Side {
  flat: FlatYard;
  transform: Transform;
  ids: ReadonlySet<string>;
}

const linksPath = ({ flat, transform, ids }: Side): string =>
  flat.links.flatMap(({ link, path }) => (ids.has(link.id) ? [pathOf(path, transform)] : [])).join('');

/** Edges of zones, and rings round structures where their marks have room for one. */
function edgesPath({ flat, transform, ids }: Side): string {
  const zones = flat.zones.flatMap(({ zone, area }) => (ids.has(zone.id) ? [areaPath(area, transform)] : []));
  if (markSize(flat, transform) < NAMED_FROM) return zones.join('');
  const rings = flat.structures.flatMap(({ structure, at }) =>
    ids.has(structure.id) ? [ringPath(toPixels(transform, at))] : [],
  );
  return [...zones, ...rings].join('');
}

const ringPath = ([x, y]: Flat) =>
  `M${(x - RING).toFixed(1)} ${y.toFixed(1)}a${RING} ${RING} 0 1 0 ${2 * RING} 0a${RING} ${RING} 0 1 0 ${-2 * RING} 0`;
