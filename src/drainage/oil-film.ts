import { power } from '../algorithms/index.ts';
import type { Fluid, Zone } from '../site-map/index.ts';
import { FLUID_NATURE } from './fluids.ts';
import { GRAVITY_MPS2, M2_PER_MM2 } from './manning.ts';
import { isPaved, LEAST_FALL, overlandMps } from './overland.ts';

type Surface = Zone['properties']['surface'];

/**
 * Depression storage in mm: large paved ground 0.1 in, lawn 0.35 in, open field 0.4 in (recommended values of the Denver Urban
 * Drainage and Flood Control District 1984, Urban Storm Drainage Criteria Manual, Runoff, table 2-1). Gravel as paved ground, a guess on the safe side.
 */
const DEPRESSION_MM: Readonly<Record<NonNullable<Surface>, number>> = {
  asphalt: 2.54,
  concrete: 2.54,
  roof: 2.54,
  gravel: 2.54,
  grass: 8.89,
  soil: 10.16,
};
/** So little, a drop in a year or so, is no flow: numbers near the least that there are would make nonsense of the formulas. */
export const NO_LPS = 1e-12;

/** Width of the stream in which a spill runs over the ground, in metres. A guess. */
const STREAM_M = 0.5;

/**
 * Litres that dry ground keeps of a spill running over it for so many metres (0 or more): depression storage in mm ×
 * wetted width in m × way in m, and a millimetre on a square metre is a litre. A surface that is not stated counts as
 * asphalt. The storage was measured for water (Denver 1984), and the width is a guess, so the litres are an order of
 * magnitude. Wet ground keeps nothing more: ask only where it is dry. O(1).
 */
export function groundKeeps(surface: Surface, metres: number): number {
  return DEPRESSION_MM[surface ?? 'asphalt'] * STREAM_M * metres;
}

/** A spill on its way over the ground. */
export interface GroundPath {
  /** Metres, 0 or more. */
  metres: number;
  /** Fall ÷ length; taken as 0.001 where it is less. */
  slope: number;
  surface: Surface;
  /** Litres a second that run, 0 or more. */
  flowLps: number;
  /** Null where nobody knows it: then it is taken as `other`. */
  fluid: Fluid | null;
  isDry: boolean;
}

/** What the ground does to a spill that runs over it. */
export interface GroundTravel {
  /** No sooner than, at the speed of water: shallow concentrated flow. */
  minutes: number;
  /** What every litre needs where nothing that the ground keeps is counted on: a film's time, not under `minutes`. */
  filmMinutes: number;
  /**
   * What every litre needs that comes after those the ground keeps: not under `minutes`. The first drop is through after
   * this and the time in which `keepsLitres` run out, which is `filmMinutes` or more.
   */
  likelyMinutes: number;
  /** The same where the oil spreads as freely as it can, and not in a stream of 0.5 m: the late end of the range. */
  lateMinutes: number;
  /** Litres that the ground keeps of the first that come; 0 in rain. */
  keepsLitres: number;
}

/**
 * How a spill gets over the ground. Dry ground first keeps what its hollows hold; what comes after runs as a laminar film
 * (Nusselt 1916) in a stream 0.5 m wide, never faster than water does. While the ground fills, the film is already on its
 * way, so that time is taken off: front and litres then agree. In rain oil rides on water, at its speed, and the ground
 * keeps nothing. Where nothing flows, the times are those of water. O(1).
 *
 * The film is to be trusted up to a Reynolds number 4·q ÷ (width·ν) of some 1,500 (Bird, Stewart and Lightfoot, Transport
 * Phenomena, section 2.2); beyond it swirls, and water's speed is the bound. Grass and gravel are rougher than any film
 * is deep, so there a spill is slower than this; how much of it soaks in is not counted. Viscosities are those of 15 °C:
 * in the cold oils are slower by a factor of two and more.
 */
export function groundTravel({ metres, slope, surface, flowLps, fluid, isDry }: GroundPath): GroundTravel {
  const minutes = metres / overlandMps(slope, isPaved(surface)) / 60;
  if (!isDry) return { minutes, filmMinutes: minutes, likelyMinutes: minutes, lateMinutes: minutes, keepsLitres: 0 };
  const ground = { waterMinutes: minutes, keepsLitres: groundKeeps(surface, metres), flowLps };
  const film: Film = { slope: Math.max(LEAST_FALL, slope), flowLps, fluid };
  const times = oilTimes({ ...ground, filmMinutes: filmMinutes(metres, film) });
  const late = oilTimes({ ...ground, filmMinutes: freeSpreadMinutes(metres, film) });
  return { ...times, lateMinutes: Math.max(times.likelyMinutes, late.likelyMinutes) };
}

/**
 * The times of oil whose film takes so long, where water takes its own and the ground keeps so much of the first litres.
 * L/s are 0 or more; where nothing flows (1e-12 L/s), the film is as fast as the water.
 */
export function oilTimes({
  waterMinutes,
  filmMinutes,
  keepsLitres,
  flowLps,
}: {
  waterMinutes: number;
  filmMinutes: number;
  keepsLitres: number;
  flowLps: number;
}): Omit<GroundTravel, 'lateMinutes'> {
  const keeps = { minutes: waterMinutes, keepsLitres };
  if (flowLps <= NO_LPS) return { ...keeps, filmMinutes: waterMinutes, likelyMinutes: waterMinutes };
  const slower = Math.max(waterMinutes, filmMinutes);
  const likelyMinutes = Math.max(waterMinutes, slower - keepsLitres / flowLps / 60);
  return { ...keeps, filmMinutes: slower, likelyMinutes };
}

/** A film that runs down a plane: fall ÷ length and L/s above 0; a fluid that nobody knows is null. */
type Film = Pick<GroundPath, 'slope' | 'flowLps' | 'fluid'>;

/** 3νq ÷ (g·S) in m⁴: depth cubed × width of a film, which both ways of running go by. */
function filmMeasure({ slope, flowLps, fluid }: Film): number {
  const { viscosityMm2PerS } = FLUID_NATURE[fluid ?? 'other'];
  return (3 * viscosityMm2PerS * M2_PER_MM2 * (flowLps / 1000)) / (GRAVITY_MPS2 * slope);
}

/**
 * Minutes over so many metres of a laminar film in a stream 0.5 m wide (Nusselt 1916): depth h = (3νq ÷ (w·g·S))^⅓, mean
 * velocity q ÷ (w·h) = g·S·h² ÷ (3ν).
 */
export function filmMinutes(metres: number, film: Film): number {
  const depthM = power(filmMeasure(film) / STREAM_M, 1 / 3);
  return (metres * STREAM_M * depthM) / (film.flowLps / 1000) / 60;
}

/**
 * Minutes until the front of a laminar film that spreads sideways as it runs down a plane is so many metres down: half
 * width there b = [(35/32)·(14/3)³·(3νq ÷ (g·S))·(x ÷ S)³]^(1/7), time (2/9)·S·b³ ÷ q. The powers are those of Smith 1973
 * (Journal of Fluid Mechanics 58); the constants follow from keeping every litre.
 */
export function freeSpreadMinutes(metres: number, film: Film): number {
  const cubedHalfWidth = power((35 / 32) * filmMeasure(film), 3 / 7) * power(((14 / 3) * metres) / film.slope, 9 / 7);
  return ((2 / 9) * film.slope * cubedHalfWidth) / (film.flowLps / 1000) / 60;
}
