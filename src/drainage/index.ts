/** The yard as a directed graph: order, reach, delivery. */
export { checkMap, type MapReport } from './check.ts';
export { arrivesOverSurface, compileDrainage, type Drainage, type Flow, nodeItem } from './compile.ts';
export { downstreamOf, type Upstream, type UpstreamPart, upstreamOf, upstreamPart } from './delivery.ts';
export { type DrainageGraph, toGraph, walk } from './graph.ts';
export { holdsOf } from './holds.ts';
export { type OilshedZone, oilshed } from './oilshed.ts';
export { compositeRunoffC, DEFAULT_RUNOFF_C, rainForFlow, rationalFlowLps } from './runoff.ts';
