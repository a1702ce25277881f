import type { DrawnYard } from './drawn.ts';
import { Ground, SpillGround, ZoneEdges } from './ground.tsx';
import { Hatches } from './hatches.tsx';
import { Highlight } from './highlight.tsx';
import { Labels } from './labels.tsx';
import { Links } from './links.tsx';
import { markSize, NAMED_FROM } from './mark-size.ts';
import { OilFront } from './oil-front.tsx';
import { KitLines, PlanMarks } from './plan-marks.tsx';
import { Points } from './points.tsx';
import { Surroundings, Walls } from './surroundings.tsx';
import { Walk } from './walk.tsx';
import { Ways } from './ways.tsx';

/** The yard as SVG, from the ground up. */
export function Drawing(drawn: DrawnYard) {
  const isSmall = markSize(drawn.flat, drawn.transform) < NAMED_FROM;
  const look = ['yard', isSmall && 'small', drawn.timer.isOn && 'clock-on'].filter(Boolean).join(' ');
  return (
    <g class={look}>
      <Hatches hatchId={drawn.hatchId} />
      <Surroundings {...drawn} />
      <Ground {...drawn} />
      <ZoneEdges {...drawn} />
      <Walls {...drawn} />
      <SpillGround {...drawn} />
      <Ways {...drawn} />
      <Links {...drawn} />
      <OilFront {...drawn} />
      <KitLines {...drawn} />
      <Points {...drawn} />
      <PlanMarks {...drawn} />
      <Walk {...drawn} />
      <Highlight {...drawn} />
      <Labels {...drawn} />
    </g>
  );
}
