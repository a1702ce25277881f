import { logGamma, logGammaCdf } from '../algorithms/index.ts';

/** What a separator was found to hold, and when. */
export interface Reading {
  /** When it was last emptied before, and when it was read: ms. */
  sinceMs: number;
  seenAtMs: number;
  /** Litres held; 0 where it was clean. */
  litres: number;
  /** The true volume is within ×/÷ this two times in three. */
  factor: number;
}

/** Before any reading: litres a year that the separator is expected to hold back. */
export interface FillPrior {
  litresPerYear: number;
}

/** What is left to be known of a separator's filling: rates and sizes of release, each with its weight. */
export interface FillPosterior {
  points: { litresPerYear: number; releaseLitres: number; weight: number }[];
}

/** Fewer readings than this make no forecast (contract §5). */
export const FEWEST_READINGS = 4;

const MS_PER_YEAR = 365.25 * 24 * 3600 * 1000;
/** The map's expectation is right within this factor two times in three, and a release is 2 L within a factor of 4. Guesses. */
const RATE_FACTOR = 3;
const RELEASE_LITRES = 2;
const RELEASE_FACTOR = 4;
const [RATE_STEPS, RELEASE_STEPS, SPREADS] = [41, 25, 4];
/** A reading's error is taken at these places of a standard normal (Gauss and Hermite, five points, weights). */
const ERROR_AT = [-2.8569700138728056, -1.355626179974266, 0, 1.355626179974266, 2.8569700138728056];
const ERROR_WEIGHT = [
  0.011257411327720682, 0.22207592200561263, 0.5333333333333333, 0.22207592200561263, 0.011257411327720682,
];
/** Less than this counts as nothing come in between two readings. */
const NOTHING_LITRES = 0.05;

interface Increment {
  years: number;
  /** Litres that came in, by the reading's error: nothing where they are not above `NOTHING_LITRES`. */
  litres: number[];
}

/** What came in between one reading and the one before of the same filling, or since it was emptied. */
function incrementsOf(readings: readonly Reading[]): Increment[] {
  const inOrder = [...readings].sort((a, b) => a.seenAtMs - b.seenAtMs);
  return inOrder.map(({ sinceMs, seenAtMs, litres, factor }, at) => {
    const before = inOrder
      .slice(0, at)
      .reverse()
      .find((each) => each.sinceMs === sinceMs && each.seenAtMs < seenAtMs);
    const spread = Math.log(factor);
    return {
      years: (seenAtMs - (before?.seenAtMs ?? sinceMs)) / MS_PER_YEAR,
      litres: ERROR_AT.map((error) => litres * Math.exp(spread * error) - (before?.litres ?? 0)),
    };
  });
}

/** ln of the chance, or the density, of what came in: Gamma(rate · years ÷ θ, θ). */
function logFit({ years, litres }: Increment, litresPerYear: number, releaseLitres: number): number {
  const shape = (litresPerYear * years) / releaseLitres;
  const fit = litres.reduce((sum, each, at) => {
    const log =
      each <= NOTHING_LITRES
        ? logGammaCdf(shape, Math.log(NOTHING_LITRES / releaseLitres)) - Math.log(NOTHING_LITRES)
        : (shape - 1) * Math.log(each / releaseLitres) -
          each / releaseLitres -
          logGamma(shape) -
          Math.log(releaseLitres);
    return sum + ERROR_WEIGHT[at] * Math.exp(log);
  }, 0);
  return Math.log(Math.max(Number.MIN_VALUE, fit));
}

/**
 * What the readings say of how fast a separator fills: a gamma process of unknown rate and release size, worked out on a
 * grid (41 × 25) in logarithms. The readings' errors are averaged over. O(grid × readings).
 */
export function learnFill(readings: readonly Reading[], { litresPerYear }: FillPrior): FillPosterior {
  const increments = incrementsOf(readings);
  const points = grid(RATE_STEPS).flatMap((rate) =>
    grid(RELEASE_STEPS).map((size) => {
      const point = {
        litresPerYear: litresPerYear * RATE_FACTOR ** rate,
        releaseLitres: RELEASE_LITRES * RELEASE_FACTOR ** size,
      };
      const log = increments.reduce(
        (sum, each) => sum + logFit(each, point.litresPerYear, point.releaseLitres),
        -0.5 * (rate ** 2 + size ** 2),
      );
      return { ...point, log };
    }),
  );
  const top = points.reduce((most, { log }) => Math.max(most, log), Number.NEGATIVE_INFINITY);
  const weighed = points.map(({ log, ...point }) => ({ ...point, weight: Math.exp(log - top) }));
  const total = weighed.reduce((sum, { weight }) => sum + weight, 0);
  return {
    points: weighed.map((each) => ({ ...each, weight: each.weight / total })).filter(({ weight }) => weight > 1e-7),
  };
}

/** Places from −4 to 4 standard deviations. */
const grid = (steps: number) => Array.from({ length: steps }, (_, at) => SPREADS * ((2 * at) / (steps - 1) - 1));

/** The chance that a separator that held so much when last read holds `limitLitres` or more so many days later. */
export function chanceOver(
  { points }: FillPosterior,
  { litres, factor, limitLitres, days }: { litres: number; factor: number; limitLitres: number; days: number },
): number {
  const years = days / 365.25;
  const spread = Math.log(factor);
  const room = ERROR_AT.map((error) => limitLitres - litres * Math.exp(spread * error));
  return points.reduce((sum, { litresPerYear, releaseLitres, weight }) => {
    const shape = (litresPerYear * years) / releaseLitres;
    const over = room.reduce(
      (chance, left, at) =>
        chance +
        ERROR_WEIGHT[at] *
          (left <= 0 ? 1 : shape <= 0 ? 0 : -Math.expm1(logGammaCdf(shape, Math.log(left / releaseLitres)))),
      0,
    );
    return sum + weight * over;
  }, 0);
}

/** Mean of the rate, litres a year. */
export function meanRate({ points }: FillPosterior): number {
  return points.reduce((sum, { litresPerYear, weight }) => sum + weight * litresPerYear, 0);
}

/** Days at which the litres to come are told. */
const FILL_DAYS = [0, 7, 14, 30, 45, 61, 91];
/** Points of less weight than this move no bound that is drawn. */
const DRAWN_WEIGHT = 1e-4;
const HALVINGS = 14;

/** The litres that a separator will hold over the next quarter: the middle, with 5 % and 95 % bounds. */
export function fillByDays(
  { points }: FillPosterior,
  { litres, factor }: { litres: number; factor: number },
): { days: number; litres: number; low: number; high: number }[] {
  const heavy = { points: points.filter(({ weight }) => weight > DRAWN_WEIGHT) };
  const total = heavy.points.reduce((sum, { weight }) => sum + weight, 0);
  const over = (limitLitres: number, days: number) => chanceOver(heavy, { litres, factor, limitLitres, days }) / total;
  return FILL_DAYS.map((days) => {
    const at = (chance: number) => levelOver((level) => over(level, days), 1 - chance);
    return { days, litres: at(0.5), low: at(0.05), high: at(0.95) };
  });
}

/** The level that is passed with this chance: doubled until it is over, then halved in between. */
function levelOver(over: (level: number) => number, chance: number): number {
  let high = 1;
  while (over(high) > chance && high < 1e6) high *= 2;
  let low = high === 1 ? 0 : high / 2;
  for (let step = 0; step < HALVINGS; step++) {
    const middle = (low + high) / 2;
    if (over(middle) > chance) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
