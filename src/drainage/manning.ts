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
export const M2_PER_MM2 = 1e-6;

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

/** How fast an even flow goes: factor × R^exponent in m/s, with R = area ÷ wetted edge in m. */
interface Law {
  factor: number;
  exponent: number;
  /**
   * The angle, at the middle of a pipe, that the wetted edge spans when the pipe carries most. There the slope of
   * `logFlowPart` is 0: (1 + exponent)·angle·(1 − cos(angle)) = exponent·(angle − sin(angle)).
   */
  fullestAngle: number;
}

/** Manning's formula (Mott, Applied Fluid Mechanics, chapter 14): R^⅔ √S ÷ n. A pipe carries most at 0.938 of its height. */
const manningLaw = ({ slope, roughness }: Conduit): Law => ({
  factor: Math.sqrt(slope) / roughness,
  exponent: 2 / 3,
  fullestAngle: 5.278107,
});

export const GRAVITY_MPS2 = 9.80665;

/**
 * Laminar flow: g·S·R² ÷ (2ν). It is exact for a round pipe that is full (Poiseuille) or half full. A thin layer in a
 * pipe has 35/18 instead of 2, so it runs 3 % faster at one depth; between, the formula is within 1 % of the solved
 * equation of flow up to 0.7 of the height, and 7.5 % too fast at 0.9. Over a wide flat bed the 2 is 3 (Nusselt 1916), in
 * a flat V 1.5: at a given flow a swale's velocity is 14 % too high in the one and 13 % too low in the other.
 */
const laminarLaw = ({ slope }: Conduit, viscosityMm2PerS: number): Law => ({
  factor: (GRAVITY_MPS2 * slope) / (2 * viscosityMm2PerS * M2_PER_MM2),
  exponent: 2,
  fullestAngle: 4.91418,
});

/** Velocity in m/s; nothing wet has none. */
const velocityOf = ({ areaM2, wettedPerimeterM }: WettedSection, { factor, exponent }: Law): number =>
  wettedPerimeterM > 0 ? power(areaM2 / wettedPerimeterM, exponent) * factor : 0;

function lawAtDepth(section: Section, law: Law, depthM: number): { flowLps: number; velocityMps: number } {
  const wetted = wettedSection(section, depthM);
  const velocityMps = velocityOf(wetted, law);
  return { flowLps: velocityMps * wetted.areaM2 * LITRES_PER_M3, velocityMps };
}

/** Flow in L/s and velocity in m/s at a given depth in m, by Manning's formula. O(1). */
export const flowAtDepth = (conduit: Conduit, depthM: number): { flowLps: number; velocityMps: number } =>
  lawAtDepth(conduit.section, manningLaw(conduit), depthM);

/**
 * Depth and velocity of a flow in L/s, 0 or more, solved from Manning's formula with constant n. Of two depths that carry
 * the same flow in a pipe the lower is taken; above 1.0757 times the full flow there is none (by the geometry of a
 * circle): the pipe then runs full. No flow has no depth and no velocity. Some steps of Newton's method, 60 at most.
 *
 * A pipe carries most at 0.938 of its height, since near the top the wetted edge grows fast and the area hardly. So
 * between the full flow and 1.0757 of it there are two depths, and a real pipe may run at either, or fill up: the depth
 * given is the least.
 */
export const uniformFlow = (conduit: Conduit, flowLps: number): UniformFlow =>
  evenFlow(conduit.section, manningLaw(conduit), flowLps);

/**
 * The same for a fluid so thick, or a flow so small, that it runs in layers: with the depth that such a flow has. The
 * viscosity, in mm²/s, is above 0; roughness means nothing. By this a pipe carries at most 1.349 times its full flow.
 *
 * It is to be trusted up to a Reynolds number 4·R·v ÷ ν of some 2,000 (the edge for pipes). Above, a real flow swirls and
 * is slower than this, and Manning's formula gives the lower velocity: the lower of both is the one to take.
 */
export const laminarFlow = (conduit: Conduit, flowLps: number, viscosityMm2PerS: number): UniformFlow =>
  evenFlow(conduit.section, laminarLaw(conduit, viscosityMm2PerS), flowLps);

function evenFlow(section: Section, law: Law, flowLps: number): UniformFlow {
  if (flowLps <= 0) return { depthM: 0, velocityMps: 0, isSurcharged: false };
  if (section.shape === 'channel') {
    const depthM = channelDepth(section, law, flowLps);
    return { depthM, velocityMps: lawAtDepth(section, law, depthM).velocityMps, isSurcharged: false };
  }
  const { diameterM } = section;
  const full = lawAtDepth(section, law, diameterM);
  const angle = angleOfFlow(law, flowLps / full.flowLps);
  if (angle === null) return { depthM: diameterM, velocityMps: full.velocityMps, isSurcharged: true };
  // V/V full = (R/R full)^exponent, and R/R full = segment(angle) ÷ angle: the part of the circle in the water over the
  // part of its edge, (segment ÷ 2π) ÷ (angle ÷ 2π).
  const velocityMps = full.velocityMps * power(segment(angle) / angle, law.exponent);
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

const CLOSE = 1e-13;
const MOST_STEPS = 60;

/**
 * ln of flow ÷ full flow for an angle of wetted edge. Flow goes with area^(1 + exponent) ÷ edge^exponent, and area with
 * `segment`, edge with the angle; the factor and the diameter are the same in both flows and drop out.
 */
function logFlowPart(exponent: number, angle: number): number {
  return (1 + exponent) * Math.log(segment(angle)) - exponent * Math.log(angle) - Math.log(FULL_TURN);
}

/**
 * The lower angle at which a pipe carries this part of its full flow; null where none does. Newton in logarithms, kept
 * between bounds: up to the fullest angle the flow only rises, so the answer is the one between the last angle that
 * carried too little and the last that carried too much. Near the fullest angle the slope is nearly 0 and Newton's step
 * leads out of these; then the middle of them is taken. There the angle is known to fewer digits, which the flow hardly
 * feels.
 */
function angleOfFlow({ exponent, fullestAngle }: Law, part: number): number | null {
  const goal = Math.log(part);
  if (goal > logFlowPart(exponent, fullestAngle)) return null;
  let [low, high] = [0, fullestAngle];
  // For a trickle the flow goes with the angle to the power 3 + 2·exponent: `segment` is the angle cubed over 6.
  let angle = Math.min(3, power(part * FULL_TURN * power(6, 1 + exponent), 1 / (3 + 2 * exponent)));
  for (let step = 0; step < MOST_STEPS; step++) {
    const lobe = segment(angle);
    const off = logFlowPart(exponent, angle) - goal;
    if (off > 0) high = angle;
    else low = angle;
    const slope = ((1 + exponent) * (1 - Math.cos(angle))) / lobe - exponent / angle;
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
 * slope d ln(flow) ÷ d ln(depth) is 1 + exponent times one number from 1 to 2 less exponent times one from 0 to 1, so
 * never under 1: there is one depth for each flow, and no step in ln(depth) is longer than ln(flow) is off. Depth is
 * changed by a factor, so it stays above 0.
 */
function channelDepth(section: Extract<Section, { shape: 'channel' }>, law: Law, flowLps: number): number {
  const edgePerDepth = 2 * Math.hypot(1, section.sideSlope);
  let depth = 0.1;
  for (let step = 0; step < MOST_STEPS; step++) {
    const { areaM2, wettedPerimeterM, surfaceM } = wettedSection(section, depth);
    const off = Math.log(lawAtDepth(section, law, depth).flowLps / flowLps);
    const slope = depth * (((1 + law.exponent) * surfaceM) / areaM2 - (law.exponent * edgePerDepth) / wettedPerimeterM);
    const next = depth * Math.exp(-off / slope);
    if (Math.abs(next - depth) <= CLOSE * depth) return next;
    depth = next;
  }
  return depth;
}
