/** The yard as a directed graph: order, reach, delivery, flow and arrival times. */
export {
  type ArrivalOptions,
  type Arrivals,
  arrivalTimes,
  bypassIndex,
  minutesFromZone,
  type Release,
  releasesFrom,
} from './arrivals.ts';
export { checkMap, type MapReport, type SeparatorReport } from './check.ts';
export {
  arrivesOverSurface,
  compileDrainage,
  type Drainage,
  type Flow,
  findFlowIndex,
  flowIndexOf,
  indicesFrom,
  itemAt,
  structureAt,
} from './compile.ts';
export { conduitOf, invertsOf, type LinkConduit, type Taken } from './conduit.ts';
export { downstreamOf, type Upstream, type UpstreamPart, upstreamOf, upstreamPart } from './delivery.ts';
export { floats, isThick } from './fluids.ts';
export {
  type DrainageGraph,
  type GraphEdge,
  type GraphNode,
  type GroundEdge,
  graphUpstreamOf,
  type LinkEdge,
  type StructureNode,
  toGraph,
  type WaysThrough,
  walk,
  waysThrough,
  type ZoneNode,
} from './graph.ts';
export { holdsAtFlow, holdsOf } from './holds.ts';
export type { Section } from './manning.ts';
export { type GroundPath, type GroundTravel, groundKeeps, groundTravel } from './oil-film.ts';
export type { OilFlow } from './oil-flow.ts';
export { type OilshedZone, oilshed } from './oilshed.ts';
export { compositeRunoffC, DEFAULT_RUNOFF_C, rainForFlow, rationalFlowLps, type Surface } from './runoff.ts';
export { drainedAreas, type LinkFlow } from './water.ts';
export { shapeIn, type WayIn, waysInFrom } from './ways-in.ts';
