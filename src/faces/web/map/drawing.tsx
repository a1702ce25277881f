import type { DrawnYard } from './drawn.ts';
import { Ground, ZoneEdges } from './ground.tsx';
import { Hatches } from './hatches.tsx';
import { Highlight } from './highlight.tsx';
import { Labels } from './labels.tsx';
import { Links } from './links.tsx';
import { markSize, NAMED_FROM } from './mark-size.ts';
import { Points } from './points.tsx';
import { Surroundings, Walls } from './surroundings.tsx';

/** The yard as SVG, from the ground up. */
export function Drawing(drawn: DrawnYard) {
  const isSmall = markSize(drawn.flat, drawn.transform) < NAMED_FROM;
  return (
    <g class={isSmall ? 'yard small' : 'yard'}>
      <Hatches hatchId={drawn.hatchId} />
      <Surroundings {...drawn} />
      <Ground {...drawn} />
      <ZoneEdges {...drawn} />
      <Walls {...drawn} />
      <Links {...drawn} />
      <Points {...drawn} />
      <Highlight {...drawn} />
      <Labels {...drawn} />
    </g>
  );
}
