import { power } from '../algorithms/index.ts';

/**
 * The shape water flows in: a round pipe, or an open channel with a flat bed and even sides (0 bed: a V). Diameters are
 * above 0; bed and side slope are 0 or more, and not both 0. A channel is as deep as its water: it never overflows here.
 */
export type Section =
  | { shape: 'round'; diameterM: number }
  | { shape: 'channel'; bedM: number /** Metres out for each metre up. */; sideSlope: number };

/** A section with the fall and the roughness that drive its flow. */
export interface Conduit {
  section: Section;
  /** Fall ÷ length, above 0. */
  slope: number;
  /** Manning's n, above 0: 0.013 for usual pipes, 0.03 for short grass. */
  roughness: number;
}

/**
 * Steady, even flow: what Manning's formula gives. It is not to be trusted where something else sets the water's height:
 * a weir or a full structure downstream, a pipe under pressure, the front of a sudden release.
 */
export interface UniformFlow {
  depthM: number;
  velocityMps: number;
  /** More comes than the pipe carries with a free surface: it runs full, and the rest stands above it. */
  isSurcharged: boolean;
}

/** Area in m², wetted edge in m, and width of the surface in m. */
export interface WettedSection {
  areaM2: number;
  wettedPerimeterM: number;
  surfaceM: number;
}

const FULL_TURN = 2 * Math.PI;
const LITRES_PER_M3 = 1000;

/**
 * The section up to a depth, in m, from 0 to the diameter for a pipe: exact geometry. A pipe that is deeper counts as
 * full. O(1).
 */
export function wettedSection(section: Section, depthM: number): WettedSection {
  if (section.shape === 'channel') {
    const { bedM, sideSlope } = section;
    return {
      areaM2: depthM * (bedM + sideSlope * depthM),
      wettedPerimeterM: bedM + 2 * depthM * Math.hypot(1, sideSlope),
      surfaceM: bedM + 2 * sideSlope * depthM,
    };
  }
  const { diameterM } = section;
  const angle = 2 * Math.acos(Math.max(-1, Math.min(1, 1 - (2 * depthM) / diameterM)));
  return {
    areaM2: (segment(angle) * diameterM ** 2) / 8,
    wettedPerimeterM: (angle * diameterM) / 2,
    surfaceM: diameterM * Math.sin(angle / 2),
  };
}

/** Velocity of even flow by Manning's formula, m/s: R^⅔ √S ÷ n, with R = area ÷ wetted edge in m. Nothing wet has none. */
function manningVelocity({ areaM2, wettedPerimeterM }: WettedSection, { slope, roughness }: Conduit): number {
  return wettedPerimeterM > 0 ? (power(areaM2 / wettedPerimeterM, 2 / 3) * Math.sqrt(slope)) / roughness : 0;
}

/**
 * Flow in L/s and velocity in m/s at a given depth in m, by Manning's formula (Mott, Applied Fluid Mechanics, chapter
 * 14). O(1).
 */
export function flowAtDepth(conduit: Conduit, depthM: number): { flowLps: number; velocityMps: number } {
  const wetted = wettedSection(conduit.section, depthM);
  const velocityMps = manningVelocity(wetted, conduit);
  return { flowLps: velocityMps * wetted.areaM2 * LITRES_PER_M3, velocityMps };
}

/**
 * Depth and velocity of a flow in L/s, 0 or more, solved from Manning's formula with constant n. Of two depths that carry
 * the same flow in a pipe the lower is taken; above 1.0757 times the full flow there is none (by the geometry of a
 * circle): the pipe then runs full. No flow has no depth and no velocity. Some steps of Newton's method, 60 at most.
 *
 * A pipe carries most at 0.938 of its height, since near the top the wetted edge grows fast and the area hardly. So
 * between the full flow and 1.0757 of it there are two depths, and a real pipe may run at either, or fill up: the depth
 * given is the least.
 */
export function uniformFlow(conduit: Conduit, flowLps: number): UniformFlow {
  if (flowLps <= 0) return { depthM: 0, velocityMps: 0, isSurcharged: false };
  const { section } = conduit;
  if (section.shape === 'channel') {
    const depthM = channelDepth(conduit, section, flowLps);
    return { depthM, velocityMps: flowAtDepth(conduit, depthM).velocityMps, isSurcharged: false };
  }
  const { diameterM } = section;
  const full = flowAtDepth(conduit, diameterM);
  const part = flowLps / full.flowLps;
  const angle = angleOfFlow(part);
  if (angle === null) return { depthM: diameterM, velocityMps: full.velocityMps, isSurcharged: true };
  // V/V full = (R/R full)^⅔, and R/R full = segment(angle) ÷ angle: the part of the circle in the water over the part of
  // its edge, (segment ÷ 2π) ÷ (angle ÷ 2π).
  const velocityMps = full.velocityMps * power(segment(angle) / angle, 2 / 3);
  return { depthM: (diameterM / 2) * (1 - Math.cos(angle / 2)), velocityMps, isSurcharged: false };
}

/**
 * angle − sin(angle): eight times the area of a segment of a circle of diameter 1; as a series where it would cancel. Up
 * to 0.3 the series is right within 1e-11 of its value, above it the difference loses two digits of sixteen at most.
 */
function segment(angle: number): number {
  if (angle > 0.3) return angle - Math.sin(angle);
  const square = angle * angle;
  return ((angle * square) / 6) * (1 - (square / 20) * (1 - (square / 42) * (1 - square / 72)));
}

/**
 * The angle, at the middle of a pipe, that the water's edge spans when the pipe carries most: 0.938 of its height. There
 * the slope of `logFlowPart` is 0: 5·angle·(1 − cos(angle)) = 2·(angle − sin(angle)).
 */
const FULLEST_ANGLE = 5.278107;
const MOST_OF_FULL = logFlowPart(FULLEST_ANGLE);
const CLOSE = 1e-13;
const MOST_STEPS = 60;

/**
 * ln of flow ÷ full flow for an angle of wetted edge. Manning's flow goes with area^(5/3) ÷ edge^(2/3), and area with
 * `segment`, edge with the angle; slope, roughness and diameter are the same in both flows and drop out.
 */
function logFlowPart(angle: number): number {
  return (5 * Math.log(segment(angle)) - 2 * Math.log(angle)) / 3 - Math.log(FULL_TURN);
}

/**
 * The lower angle at which a pipe carries this part of its full flow; null where none does. Newton in logarithms, kept
 * between bounds: up to the fullest angle the flow only rises, so the answer is the one between the last angle that
 * carried too little and the last that carried too much. Near the fullest angle the slope is nearly 0 and Newton's step
 * leads out of these; then the middle of them is taken. There the angle is known to fewer digits, which the flow hardly
 * feels.
 */
function angleOfFlow(part: number): number | null {
  const goal = Math.log(part);
  if (goal > MOST_OF_FULL) return null;
  let [low, high] = [0, FULLEST_ANGLE];
  // For a trickle the flow goes with the angle to the power 13/3: `segment` is the angle cubed over 6.
  let angle = Math.min(3, power(part * FULL_TURN * power(6, 5 / 3), 3 / 13));
  for (let step = 0; step < MOST_STEPS; step++) {
    const lobe = segment(angle);
    const off = logFlowPart(angle) - goal;
    if (off > 0) high = angle;
    else low = angle;
    const slope = ((5 / 3) * (1 - Math.cos(angle))) / lobe - 2 / 3 / angle;
    const next = angle - off / slope;
    const isInside = next > low && next < high;
    const better = isInside ? next : (low + high) / 2;
    if (Math.abs(better - angle) <= CLOSE * angle) return better;
    angle = better;
  }
  return angle;
}

/**
 * Depth of a flow in an open channel: Newton in logarithms, which flow and depth nearly follow a straight line in. Its
 * slope d ln(flow) ÷ d ln(depth) is 5/3 times one number from 1 to 2 less 2/3 of one from 0 to 1, so never under 1: there
 * is one depth for each flow, and no step in ln(depth) is longer than ln(flow) is off. Depth is changed by a factor, so
 * it stays above 0.
 */
function channelDepth(
  conduit: Conduit,
  { bedM, sideSlope }: Extract<Section, { shape: 'channel' }>,
  flowLps: number,
): number {
  let depth = 0.1;
  for (let step = 0; step < MOST_STEPS; step++) {
    const { areaM2, wettedPerimeterM, surfaceM } = wettedSection({ shape: 'channel', bedM, sideSlope }, depth);
    const off = Math.log(flowAtDepth(conduit, depth).flowLps / flowLps);
    const slope = depth * (((5 / 3) * surfaceM) / areaM2 - ((4 / 3) * Math.hypot(1, sideSlope)) / wettedPerimeterM);
    const next = depth * Math.exp(-off / slope);
    if (Math.abs(next - depth) <= CLOSE * depth) return next;
    depth = next;
  }
  return depth;
}
