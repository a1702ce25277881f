import { gammaAbove, gammaCdf, power } from '../algorithms/index.ts';
import { YEAR_MS } from '../site-map/index.ts';

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
  /** Weights add up to 1. */
  points: { litresPerYear: number; releaseLitres: number; weight: number }[];
}

/** What readings say: how it fills, and what it truly held when it was read last. */
export interface Learned extends FillPosterior {
  /** The true volume is within ×/÷ `factor` of `litres` two times in three; mostly narrower than the reading alone. */
  last: { litres: number; factor: number };
}

/** Fewer readings than this make no forecast. A guess. */
export const FEWEST_READINGS = 4;

/** The map's expectation is right within this factor two times in three, and a release is 2 L within a factor of 4. Guesses. */
const RATE_FACTOR = 3;
const RELEASE_LITRES = 2;
const RELEASE_FACTOR = 4;
/** A reading's error is taken at these places of a standard normal (Gauss and Hermite, five points, weights). */
const ERROR_AT = [-2.8569700138728056, -1.355626179974266, 0, 1.355626179974266, 2.8569700138728056];
const ERROR_WEIGHT = [
  0.011257411327720682, 0.22207592200561263, 0.5333333333333333, 0.22207592200561263, 0.011257411327720682,
];

/** What a separator may truly have held at a reading: cells of one width, and how well the reading fits each. */
interface Level {
  low: number;
  step: number;
  fit: Float64Array;
}

/**
 * Cells of a level. For a reading within a factor of 1.2 a cell is about a third of a standard deviation of its error.
 */
const CELLS = 24;
/** The cells reach so many standard deviations of the reading's error to each side. */
const WIDE = 3.5;
/** No reading is better than this. */
const LEAST_SPREAD = 0.01;
/** Clean is anything from nothing to this. */
const CLEAN_LITRES = 0.1;

const high = ({ low, step }: Level) => low + CELLS * step;

/**
 * The cells of a reading, and how well it fits each. A reading is log-normal around the truth, so its likelihood at a
 * true volume v is exp(−½·(ln(v ÷ reading) ÷ ln factor)²); what stands before that is the same for all v, and is left
 * out. A clean look fits anything up to what nobody would notice.
 */
function levelOf({ litres, factor }: Reading): Level {
  const spread = Math.max(LEAST_SPREAD, Math.log(factor));
  const [low, top] =
    litres > 0 ? [litres * Math.exp(-WIDE * spread), litres * Math.exp(WIDE * spread)] : [0, CLEAN_LITRES];
  const step = (top - low) / CELLS;
  const fit = Float64Array.from({ length: CELLS }, (_, cell) =>
    litres > 0 ? Math.exp(-0.5 * (Math.log((low + (cell + 0.5) * step) / litres) / spread) ** 2) : 1,
  );
  return { low, step, fit };
}

/** From one reading to the next of the same filling; from nothing where it is the first. */
interface Stretch {
  years: number;
  /** The reading before, by its number. */
  before: number | null;
  from: Level | null;
  to: Level;
  /** A level that fell, as when packs took oil out: nothing is learned from how it came there. */
  isFall: boolean;
}

/** Older readings than the last so many say little of how a yard fills now. */
const MOST_READINGS = 40;

/**
 * The time between each reading and the one before it of the same filling. Readings belong to one filling where they
 * were taken since the same emptying; the first of a filling starts from nothing, at the emptying itself. Stretches of
 * one filling do not overlap, so what comes in over each is independent of the others in a gamma process.
 */
function stretchesOf(readings: readonly Reading[]): Stretch[] {
  const inOrder = [...readings].sort((a, b) => a.seenAtMs - b.seenAtMs).slice(-MOST_READINGS);
  const levels = inOrder.map(levelOf);
  return inOrder.map(({ sinceMs, seenAtMs }, at) => {
    const last = inOrder.slice(0, at).findLastIndex((each) => each.sinceMs === sinceMs && each.seenAtMs < seenAtMs);
    const before = last < 0 ? null : last;
    const from = before === null ? null : levels[before];
    const startMs = before === null ? sinceMs : inOrder[before].seenAtMs;
    const isFall = from !== null && high(levels[at]) <= from.low;
    return { years: (seenAtMs - startMs) / YEAR_MS, before, from, to: levels[at], isFall };
  });
}

const TABLE = 96;
/** Beyond so many standard deviations of what comes in, its distribution is over. */
const TAILS = 9;

/**
 * The chance that at most so much comes in over a stretch, as a table of even steps that is read between. Of a gamma
 * process with rate λ and release size θ, T years bring Gamma(shape λT/θ, scale θ): λT litres in the mean, θλT their
 * variance, and any two stretches are independent. Small θ is a steady drip, large θ a few spills. The table covers
 * what the two levels allow, and costs 97 values of the distribution where the cells ask for 600.
 */
function comesIn(
  { years, from, to }: Stretch,
  { litresPerYear, releaseLitres }: Omit<FillPosterior['points'][number], 'weight'>,
): (litres: number) => number {
  const [shape, mean] = [(litresPerYear * years) / releaseLitres, litresPerYear * years];
  const tail = TAILS * (Math.sqrt(shape) + 1) * releaseLitres;
  const first = Math.max(0, to.low - (from ? high(from) : 0));
  const step = (high(to) - (from?.low ?? 0) - first) / TABLE;
  const table = Float64Array.from({ length: TABLE + 1 }, (_, at) => {
    // At nothing stands what is too little to be seen: most of a spill that did not happen.
    const litres = first + Math.max(at, 1e-3) * step;
    if (litres < mean - tail) return 0;
    return litres > mean + tail ? 1 : gammaCdf(shape, litres / releaseLitres);
  });
  return (litres) => {
    if (litres <= 0) return 0;
    const place = Math.min(TABLE, Math.max(0, (litres - first) / step));
    const below = Math.min(TABLE - 1, Math.floor(place));
    return table[below] + (place - below) * (table[below + 1] - table[below]);
  };
}

/**
 * ln of how well a rate and a size fit all readings, and what was held at the last one: true volumes are carried from
 * reading to reading through the gamma process, each weighed by its reading's error (forward filtering on cells).
 *
 * After each reading `held` is the distribution of what was truly held, given all readings so far of the filling. The
 * sum before it is made whole is the chance of this reading given those before it, so the product of the sums is the
 * chance of all readings, and its logarithm is what is added up. Without the error of readings a misread stick would
 * have to be explained by the process itself, as oil that came or did not come, and two close readings could rule out
 * the true rate.
 */
function fitOf(
  stretches: readonly Stretch[],
  point: Omit<FillPosterior['points'][number], 'weight'>,
): { log: number; held: Float64Array } {
  let log = 0;
  const held: Float64Array[] = [];
  for (const stretch of stretches) {
    const { before, to, isFall } = stretch;
    const next = isFall
      ? to.fit.slice()
      : carried(stretch, comesIn(stretch, point), before === null ? null : held[before]);
    if (!isFall) for (let cell = 0; cell < CELLS; cell++) next[cell] *= to.fit[cell];
    const total = next.reduce((sum, each) => sum + each, 0);
    // Where nothing fits at all, the reading itself is what is left.
    if (!isFall) log += Math.log(Math.max(Number.MIN_VALUE, total));
    const whole = total > 0 ? next : to.fit;
    const sum = whole.reduce((all, each) => all + each, 0);
    held.push(whole.map((each) => each / sum));
  }
  return { log, held: held[held.length - 1] };
}

/**
 * The chance of each cell of the next reading, given what was held before it: for each cell held before, taken at its
 * middle, the chance that just so much came in as leads into the next cell. O(cells²).
 */
function carried(
  { from, to }: Stretch,
  atMost: (litres: number) => number,
  heldBefore: Float64Array | null,
): Float64Array {
  const next = new Float64Array(CELLS);
  const add = (weight: number, litres: number) => {
    let below = atMost(to.low - litres);
    for (let cell = 0; cell < CELLS; cell++) {
      const upTo = atMost(to.low + (cell + 1) * to.step - litres);
      next[cell] += weight * (upTo - below);
      below = upTo;
    }
  };
  if (!from || !heldBefore) add(1, 0);
  else {
    for (let cell = 0; cell < CELLS; cell++) {
      if (heldBefore[cell] > 1e-12) add(heldBefore[cell], from.low + (cell + 0.5) * from.step);
    }
  }
  return next;
}

/** Places of a grid, in standard deviations of what was thought before, from and to. */
interface Side {
  from: number;
  to: number;
  steps: number;
}
const placesOf = ({ from, to, steps }: Side) =>
  Array.from({ length: steps }, (_, at) => from + ((to - from) * at) / (steps - 1));

/** A point fits so much worse than the best, in logarithms, that it counts for nothing. */
const NOTHING_LOG = 14;

/**
 * What the readings say of how fast a separator fills: a gamma process of unknown rate and release size, worked out on
 * a grid in logarithms, first a coarse one and then a fine one over what is left of it. Readings have errors, and what
 * was truly held is carried along. The last 40 readings count. O(grid × readings), with 312 points in the two grids.
 *
 * `readings` must have one at least, in any order; `litresPerYear` must be above 0. Before any reading the logarithms
 * of rate and size are normal: the rate around the map's expectation within ×/÷ 3, a release around 2 L within ×/÷ 4
 * (guesses). Grid points stand evenly in those logarithms, so a point's weight is its density, exp(−½·(rate² + size²)),
 * times the chance of the readings, and the weights need only be made whole. The coarse grid goes four standard
 * deviations to each side; points that fit e¹⁴ times worse than the best are dropped, and the fine grid covers the rest
 * with a margin.
 *
 * Not to be trusted where the yard changes: one rate is taken to hold over all readings, so seasons, a new use of the
 * ground, or oil that a storm washed out are not seen. Oil that only went away, by packs, teaches nothing.
 */
export function learnFill(readings: readonly Reading[], { litresPerYear }: FillPrior): Learned {
  const stretches = stretchesOf(readings);
  const fitted = (rates: Side, sizes: Side) =>
    placesOf(rates).flatMap((rate) =>
      placesOf(sizes).map((size) => {
        const point = {
          litresPerYear: litresPerYear * power(RATE_FACTOR, rate),
          releaseLitres: RELEASE_LITRES * power(RELEASE_FACTOR, size),
        };
        const { log, held } = fitOf(stretches, point);
        return { ...point, rate, size, held, log: log - 0.5 * (rate ** 2 + size ** 2) };
      }),
    );
  const coarse = fitted({ from: -4, to: 4, steps: 15 }, { from: -4, to: 4, steps: 7 });
  const left = notNothing(coarse);
  const around = (values: readonly number[], by: number, steps: number): Side => ({
    from: values.reduce((least, each) => Math.min(least, each)) - by,
    to: values.reduce((most, each) => Math.max(most, each)) + by,
    steps,
  });
  const sides = [left.map(({ rate }) => rate), left.map(({ size }) => size)];
  const fine = notNothing(fitted(around(sides[0], 0.5, 23), around(sides[1], 1, 9)));
  const top = topOf(fine);
  const weights = fine.map(({ log }) => Math.exp(log - top));
  const total = weights.reduce((sum, each) => sum + each, 0);
  const points = fine.map((each, at) => ({
    litresPerYear: each.litresPerYear,
    releaseLitres: each.releaseLitres,
    weight: weights[at] / total,
  }));
  const held = new Float64Array(CELLS);
  for (let cell = 0; cell < CELLS; cell++) {
    held[cell] = fine.reduce((sum, each, at) => sum + points[at].weight * each.held[cell], 0);
  }
  const last = spreadOf(held, stretches[stretches.length - 1].to);
  const read = readings.reduce((latest, each) => (each.seenAtMs >= latest.seenAtMs ? each : latest));
  // So far off what came before, it is rather a spill than a misread stick: what was read stands.
  const isOff = read.litres > 0 && Math.abs(Math.log(last.litres / read.litres)) > MOST_OFF * Math.log(read.factor);
  return { points, last: isOff ? { litres: read.litres, factor: read.factor } : last };
}

/** Standard deviations of its error by which a reading may be put right by those before it. */
const MOST_OFF = 1.5;

/**
 * Middle and spread of what was held, of its logarithm; nothing where it was clean. From here on what was held counts
 * as log-normal with these two, whatever shape the cells had.
 */
function spreadOf(held: Float64Array, { low, step }: Level): Learned['last'] {
  if (low === 0) return { litres: 0, factor: 1 };
  const logs = held.map((_, cell) => Math.log(low + (cell + 0.5) * step));
  const mean = held.reduce((sum, chance, cell) => sum + chance * logs[cell], 0);
  const variance = held.reduce((sum, chance, cell) => sum + chance * (logs[cell] - mean) ** 2, 0);
  return { litres: Math.exp(mean), factor: Math.exp(Math.sqrt(variance)) };
}

const topOf = (points: readonly { log: number }[]) =>
  points.reduce((most, { log }) => Math.max(most, log), Number.NEGATIVE_INFINITY);

function notNothing<P extends { log: number }>(points: readonly P[]): P[] {
  const top = topOf(points);
  return points.filter(({ log }) => log > top - NOTHING_LOG);
}

/**
 * The chance, 0 to 1, that a separator that held so much (within ×/÷ `factor`) when last read holds `limitLitres` or
 * more so many days (0 or more) later. O(points).
 *
 * For one rate, one size and one volume held, it is the upper tail of a gamma beyond the room that is left; that is
 * averaged over the error of what was held, at the five points of Gauss and Hermite, and over the grid with its
 * weights. It never falls as days pass, since oil in a gamma process only comes: that is what lets days and levels be
 * found by halving. Nobody is taken to pump out, change packs or come by in between.
 */
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
        chance + ERROR_WEIGHT[at] * (left <= 0 ? 1 : shape <= 0 ? 0 : gammaAbove(shape, left / releaseLitres)),
      0,
    );
    return sum + weight * over;
  }, 0);
}

/**
 * Mean of the rate, litres a year: mostly above the middle one, since what readings leave open is skewed upwards.
 * O(points).
 */
export function meanRate({ points }: FillPosterior): number {
  return points.reduce((sum, { litresPerYear, weight }) => sum + weight * litresPerYear, 0);
}

/** Days at which the litres to come are told. */
const FILL_DAYS = [0, 7, 14, 30, 45, 61, 91];
/** Points of less weight than this move no bound that is drawn. */
const DRAWN_WEIGHT = 1e-4;
const HALVINGS = 14;

/**
 * The litres that a separator will hold over the next quarter: the middle, with 5 % and 95 % bounds. They are levels of
 * `chanceOver` itself, so the band and the chance of the limit say the same, but for points of next to no weight: the
 * upper bound crosses the limit on the day on which the chance is 5 %. Levels are found to about 2⁻¹⁴ of themselves, or
 * of a litre where that is more. O(days × points).
 */
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

/**
 * The level that is passed with this chance: doubled until it is over, then halved in between; a million litres at
 * most.
 */
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
