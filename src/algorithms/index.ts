/** Mathematics without yard words. Imports nothing of the project. */
export { type Mixing, mixingOf } from './chains.ts';
export { csvRows } from './csv.ts';
export {
  amountAt,
  beginningOf,
  bothOf,
  type Curve,
  evenly,
  later,
  minuteOf,
  NOTHING,
  onGrid,
  partOf,
  past,
  pumped,
  restOf,
  totalOf,
  until,
} from './curve.ts';
export { type DirichletPart, dirichletParts } from './dirichlet.ts';
export { type Dominators, dominators } from './dominators.ts';
export { type EdgeRows, edgeRows } from './edge-rows.ts';
export { editDistance } from './edit-distance.ts';
export {
  type EdgeList,
  FIRST_INDEX,
  type FlowIndex,
  type FlowOrder,
  flowOrder,
  type NodeNumber,
  type NumbersBy,
  nodeNumber,
  numbersBy,
} from './flow-order.ts';
export { betaQuantile, gammaAbove, gammaCdf, logGamma } from './gamma.ts';
export {
  type IntegerProgram,
  type IntegerSolution,
  type IntegerSolver,
  integerSolver,
  type Row,
} from './integer-program.ts';
export { type Loop, solveLoop } from './loop-solve.ts';
export { type MinCut, minCut, type Network } from './min-cut.ts';
export { isInside, nearestOnSegment, type PlanePoint } from './plane.ts';
export { power } from './power.ts';
export { logGammaDraw, type Random, seededRandom } from './random.ts';
export { TimeQueue } from './time-queue.ts';
export { effectiveCountFor, effectiveCountOf, type Resampled, resample, tailShapeOf } from './weights.ts';
