/** The yard as a drawing: places on a flat sheet, labels that do not meet, marks and signs. What is shown is passed in. */
export { type Box, TakenBoxes, textWidth } from './boxes.ts';
export { chevronsAlong } from './chevrons.ts';
export { Drawing } from './drawing.tsx';
export type { DrawnPlan, DrawnYard, Timer } from './drawn.ts';
export {
  type Bounds,
  boundsOf,
  type Flat,
  fitTo,
  flatOf,
  pathOf,
  positionOf,
  type Transform,
  toPixels,
} from './flat.ts';
export { drawFlat, type FlatOther, type FlatYard, type FlatZone } from './flat-yard.ts';
export { areaPath } from './ground.tsx';
export { hatchFill } from './hatches.tsx';
export { markSize } from './mark-size.ts';
export { Mark, MarkInText, markReach } from './marks.tsx';
export { placesOf } from './places.ts';
export { KitSign, MeasureSign } from './plan-marks.tsx';
export { type PointLabel, placeCentredLabel, placePointLabel } from './point-labels.ts';
export { hatchOf, RAMP_FROM, rampStep } from './ramp.ts';
export { isClear, type Room } from './room.ts';
export { scaleLength } from './scale-length.ts';
export { ActSign, HereSign, LidSign, QuestionSign, SeenSign } from './signs.tsx';
export { Surroundings, Walls } from './surroundings.tsx';
