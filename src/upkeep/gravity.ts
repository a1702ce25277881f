/** A separator's still water: metres, above 0. */
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

/** What decides how fast oil rises; the water must be the denser one. */
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

/**
 * Rise of an oil droplet by Stokes' law, m/s: g·(ρw − ρo)·D² ÷ 18µ (as in API Publication 421, 1990). Diameter in µm,
 * above 0. O(1).
 *
 * A droplet soon rises at the speed at which the drag of slow flow round a sphere, 3π·µ·D·v, balances its buoyancy,
 * g·(ρw − ρo)·π·D³ ÷ 6; that solved for v is the law. It holds while the flow round the droplet is slow enough, that is
 * while its Reynolds number stays well under 1: at 150 µm in the usual fluids it is about 0.2. Large drops rise more
 * slowly than the law says. It says nothing of oil that detergent or a pump has broken up into an emulsion, or of oil
 * that rides on dirt.
 */
export function riseMps(diameterUm: number, { waterKgPerM3, oilKgPerM3, waterPaS }: Fluids): number {
  return (GRAVITY * (waterKgPerM3 - oilKgPerM3) * (diameterUm * 1e-6) ** 2) / (18 * waterPaS);
}

/** The droplet that rises at a speed in m/s, by the same law solved for D; µm. */
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

/**
 * F for a ratio of the water's speed along to the droplet's up, above 0: the table's value, straight lines between
 * (American Petroleum Institute 1990, Publication 421). 1.28 to 1.74; beyond the table its ends, so a separator that
 * is run at a ratio over 20 is told as somewhat better than it is.
 */
export function turbulenceFactor(ratio: number): number {
  const [first, last] = [TURBULENCE[0], TURBULENCE[TURBULENCE.length - 1]];
  if (ratio <= first[0]) return first[1];
  const after = TURBULENCE.findIndex(([at]) => at >= ratio);
  if (after < 0) return last[1];
  const [[x0, f0], [x1, f1]] = [TURBULENCE[after - 1], TURBULENCE[after]];
  return f0 + ((ratio - x0) / (x1 - x0)) * (f1 - f0);
}

/**
 * Length that a channel needs for a droplet: L = F·(Vh/Vt)·d, metres (API Publication 421, 1990). Speeds in m/s, above
 * 0, depth in metres. The droplet that starts at the bottom has to rise the whole depth in the time in which the water
 * runs the whole length: L ÷ Vh = d ÷ Vt. F makes that longer for eddies and short cuts.
 */
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
 * The smallest droplet, µm, that still gets to the top of a separator at a flow in L/s: L = F·(Vh/Vt)·d solved for Vt
 * by bisection. Plates catch smaller ones than this says. 0 where nothing flows, Infinity where no depth of water is
 * left.
 *
 * The ratio r = Vh ÷ Vt is what is looked for, from F(r)·r = L ÷ d. F never falls as r grows, so F(r)·r grows, and
 * there is one root; F is at least 1, so it lies between 0 and L ÷ d. The slowest rise that is fast enough is then Vh ÷
 * r, and Stokes' law gives its droplet. Of smaller droplets a part is caught too, those that come in higher up. At most
 * 200 halvings. The flow is taken to fill the whole cross-section evenly, and the water to be as clean and as warm as
 * `fluids` says: cold water is thicker, and lets larger drops through.
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
