/** A separator's still water: metres. */
export interface Chamber {
  lengthM: number;
  widthM: number;
  depthM: number;
}

/** Water and oil where nobody measured: 15 °C, 999 kg/m³ and 1.14 mPa·s; oil as engine oil, 880 kg/m³ (open oil-property records of NOAA and Environment Canada). */
const WATER_KG_PER_M3 = 999;
const WATER_PA_S = 0.00114;
const OIL_KG_PER_M3 = 880;
const GRAVITY = 9.81;

export interface Fluids {
  waterKgPerM3: number;
  oilKgPerM3: number;
  /** Viscosity of the water, Pa·s. */
  waterPaS: number;
}

export const USUAL_FLUIDS: Fluids = {
  waterKgPerM3: WATER_KG_PER_M3,
  oilKgPerM3: OIL_KG_PER_M3,
  waterPaS: WATER_PA_S,
};

/** Rise of an oil droplet by Stokes' law, m/s: g·(ρw − ρo)·D² ÷ 18µ (as in API Publication 421, 1990). Diameter in µm. */
export function riseMps(diameterUm: number, { waterKgPerM3, oilKgPerM3, waterPaS }: Fluids): number {
  return (GRAVITY * (waterKgPerM3 - oilKgPerM3) * (diameterUm * 1e-6) ** 2) / (18 * waterPaS);
}

/** The droplet that rises at a speed in m/s; µm. */
function diameterUm(mps: number, { waterKgPerM3, oilKgPerM3, waterPaS }: Fluids): number {
  return 1e6 * Math.sqrt((18 * waterPaS * mps) / (GRAVITY * (waterKgPerM3 - oilKgPerM3)));
}

/** Allowance for turbulence and short cuts by Vh/Vt (American Petroleum Institute 1990, Publication 421); beyond the table its ends. */
const TURBULENCE: readonly (readonly [number, number])[] = [
  [3, 1.28],
  [6, 1.37],
  [10, 1.52],
  [15, 1.64],
  [20, 1.74],
];

/** F for a ratio of the water's speed along to the droplet's up: the table's value, straight lines between. */
export function turbulenceFactor(ratio: number): number {
  const [first, last] = [TURBULENCE[0], TURBULENCE[TURBULENCE.length - 1]];
  if (ratio <= first[0]) return first[1];
  const after = TURBULENCE.findIndex(([at]) => at >= ratio);
  if (after < 0) return last[1];
  const [[x0, f0], [x1, f1]] = [TURBULENCE[after - 1], TURBULENCE[after]];
  return f0 + ((ratio - x0) / (x1 - x0)) * (f1 - f0);
}

/** Length that a channel needs for a droplet: L = F·(Vh/Vt)·d, metres (API Publication 421, 1990). */
export function lengthNeededM({
  alongMps,
  risingMps,
  depthM,
}: {
  alongMps: number;
  risingMps: number;
  depthM: number;
}): number {
  const ratio = alongMps / risingMps;
  return turbulenceFactor(ratio) * ratio * depthM;
}

const MOST_STEPS = 200;

/**
 * The smallest droplet, µm, that still gets to the top of a separator at a flow in L/s: L = F·(Vh/Vt)·d solved for Vt by
 * bisection. Plates catch smaller ones than this says. Infinity where no depth of water is left.
 */
export function smallestCaughtUm({ lengthM, widthM, depthM }: Chamber, flowLps: number, fluids = USUAL_FLUIDS): number {
  if (flowLps <= 0) return 0;
  if (!(depthM > 0)) return Number.POSITIVE_INFINITY;
  const alongMps = flowLps / 1000 / (widthM * depthM);
  const goal = lengthM / depthM;
  // F·r grows with r, so its root is alone.
  let [low, high] = [0, goal];
  for (let step = 0; step < MOST_STEPS && high - low > 1e-12 * goal; step++) {
    const ratio = (low + high) / 2;
    if (turbulenceFactor(ratio) * ratio > goal) high = ratio;
    else low = ratio;
  }
  return diameterUm(alongMps / ((low + high) / 2), fluids);
}
