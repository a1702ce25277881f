/** What stands in the yard: the site map's format, reading, checking, measuring and writing. The only room that knows the file format. */
export { checkSiteMap, linksByStart } from './check.ts';
export { allows, explain } from './explain.ts';
export { type Imported, type ImportOptions, importLayers, SNAP_M, type ZoneOptions } from './import/import-layers.ts';
export type { Layer } from './import/layers.ts';
export { type ImportRules, type KeepRule, type KindRule, parseImportRules } from './import/rules.ts';
export { NEAREST_INLET_M } from './inlets.ts';
export { parseJson, type Twice } from './json.ts';
export { idRemedy } from './meant.ts';
export {
  areaOf,
  distanceTo,
  lengthOf,
  type MetreFrame,
  metreFrame,
  type Point,
} from './measure.ts';
export {
  type Inlet,
  isOfKind,
  type Link,
  type MapFile,
  planAreaOf,
  polygonsOf,
  type SiteMap,
  type Structure,
  type Zone,
} from './model.ts';
export { otherFormat } from './other-format.ts';
export {
  hasErrors,
  PROBLEM_CODES,
  type Problem,
  type ProblemCode,
  problem,
  type SaidProblem,
  type Severity,
  sayProblem,
  show,
  shown,
} from './problem.ts';
export { type Reading, readSiteMap, siteMapIn } from './read.ts';
export { type AreaGeometry, type Feature, type Position, type Site, siteMapSchema } from './schema.ts';
export { type DividedShares, divideShares } from './shares.ts';
export { addDays, DAY_MS, dayIn, daysBetween, instantOf, isoTime, YEAR_MS } from './time.ts';
export { isObject } from './unknown.ts';
export * from './vocabulary.ts';
export { middleOfZone, type WalkingGround, walkerPosition, walkingGround } from './walking.ts';
export { byId, writeSiteMap } from './write.ts';
