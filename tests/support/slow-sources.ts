import { logGamma, logGammaDraw, type Random, seededRandom } from '../../src/algorithms/index.ts';
import type { YardWords } from './yard.ts';

/*
 * The slow twin of `sources`: shares by importance sampling from the prior, written from docs/method.md and
 * nothing else. It takes the words of a yard and the findings as they stand in the file, and shares no code with
 * src/sources. Yards must be free of loops and small.
 */

/** A finding as it stands in the file. Amounts in litres only. */
export interface RawFinding {
  id: string;
  at: string;
  since: string;
  seenAt: string;
  seen?: 'clean' | 'oil';
  amount?: { litres: number; factor?: number };
  fluid?: string;
  noticeLitres?: number;
  misread?: number;
  rainMm?: number;
}

export interface SlowOptions {
  /** The structure whose oil is asked about. */
  at: string;
  /** Left out: log-normal with median 2 L and factor 4. */
  releaseLitres?: number;
  unmappedShare: number;
  /** Stops when the draws are worth so many independent ones, or after so many in any case. */
  enough: number;
  mostDraws: number;
  seed: number;
}

/** The distribution of one source's share of the oil. */
export interface SlowShare {
  mean: number;
  sd: number;
  main: number;
  /** Chance that the share is under a value. */
  below(share: number): number;
}

export interface SlowAnswer {
  /** By zone id, and `unmapped` for what comes out at the point itself. */
  shares: Map<string, SlowShare>;
  /** How many independent draws of the posterior the weighted ones are worth: (Σw)² / Σw². */
  effectiveDraws: number;
}

const HOLDS: Record<string, number> = { 'catch-basin': 0.1, pond: 0.5, separator: 0.9, outfall: 1, sanitary: 1 };
const INLETS = ['catch-basin', 'trench-drain'];
const FLOATING = ['gasoline', 'diesel', 'motor-oil', 'hydraulic-oil', 'gear-oil', 'cooking-oil', 'other'];
const MS_PER_YEAR = 365.25 * 86_400_000;

type Words = Record<string, unknown>;

/** One way from a zone to a structure: what of a litre would take it but for guessed holds, and the guesses on it. */
interface Way {
  part: number;
  through: string[];
}

interface Guess {
  id: string;
  odds: number;
}

interface Origin {
  id: string;
  litresPerYear: number;
  activity: string | null;
  shared: number;
  own: number;
  /** Ways by finding. */
  ways: Way[][];
  fluids: { fluid: string | null; part: number }[];
}

/** An independent gamma: one origin, one stretch of time, one fluid. */
interface Piece {
  origin: number;
  part: number;
  seenBy: number[];
}

/** Shares after all findings. O(draws × pieces × findings). */
export function slowSources(words: YardWords, findings: readonly RawFinding[], options: SlowOptions): SlowAnswer {
  const guesses = guessesIn(words);
  const origins = originsOf(words, findings, options.unmappedShare);
  const pieces = piecesOf(origins, findings);
  const target = targetOf(findings, options.at);
  const sized = findings.findIndex(({ amount }) => amount !== undefined);
  const random = seededRandom(options.seed);
  const tally = new Tally(origins.length);
  const holds = new Map<string, number>();
  const deliveries = () => origins.map(({ ways }) => ways.map((each) => sumOf(each.map((way) => along(way, holds)))));
  const heldNow = () => findings.map(({ at }) => holds.get(at) ?? statedHolds(words, at));
  let [delivered, held] = [guesses.length === 0 ? deliveries() : [], heldNow()];
  const parts = new Float64Array(origins.length);
  for (let draw = 0; draw < options.mostDraws; draw++) {
    if (draw % 10_000 === 0 && tally.effectiveDraws() > options.enough) break;
    const theta = options.releaseLitres ?? 2 * 4 ** random.normal();
    if (guesses.length > 0) {
      for (const { id, odds } of guesses) holds.set(id, logistic(Math.log(odds) + Math.log(3) * random.normal()));
      [delivered, held] = [deliveries(), heldNow()];
    }
    const litresPerYear = drawYields(origins, random);
    const shapes = pieces.map(({ origin, part }) => (litresPerYear[origin] * part) / theta);
    const litres = shapes.map((shape) => theta * Math.exp(logGammaDraw(random, shape)));
    let logWeight = 0;
    if (sized >= 0) {
      const sizing = { finding: findings[sized], sized, delivered, held };
      logWeight += resize({ pieces, shapes, litres, theta, random }, sizing);
    }
    for (let index = 0; index < findings.length; index++) {
      if (index === sized) continue;
      let entered = 0;
      for (let at = 0; at < pieces.length; at++) {
        if (pieces[at].seenBy.includes(index)) entered += delivered[pieces[at].origin][index] * litres[at];
      }
      logWeight += logChance(findings[index], entered, held[index]);
    }
    parts.fill(0);
    for (let at = 0; at < pieces.length; at++) {
      const { origin, seenBy } = pieces[at];
      if (seenBy.includes(target)) parts[origin] += delivered[origin][target] * litres[at];
    }
    tally.add(parts, logWeight);
  }
  const own = `unmapped ${options.at}`;
  return tally.answer(origins.map(({ id }) => (id === own ? 'unmapped' : id)));
}

const sumOf = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0);
const logistic = (logOdds: number) => 1 / (1 + Math.exp(-logOdds));
const along = ({ part, through }: Way, holds: Map<string, number>) =>
  through.reduce((left, id) => left * (1 - (holds.get(id) as number)), part);

function statedHolds({ structures }: YardWords, at: string): number {
  const structure = structures[at];
  return structure ? ((structure.holds as number | undefined) ?? HOLDS[structure.kind] ?? 0) : 1;
}

/** Structures whose default `holds` is a guess: strictly between 0 and 1 and not stated. */
function guessesIn(words: YardWords): Guess[] {
  return Object.entries(words.structures).flatMap(([id, { holds }]) => {
    const value = statedHolds(words, id);
    return holds === undefined && value > 0 && value < 1 ? [{ id, odds: value / (1 - value) }] : [];
  });
}

/** Every way from a zone down to a structure, by walking each link. */
function waysTo(words: YardWords, zone: string, to: string): Way[] {
  const found: Way[] = [];
  const walk = (id: string, part: number, through: string[]) => {
    if (id === to) found.push({ part, through });
    const isGuess = guessesIn(words).some((guess) => guess.id === id);
    const left = isGuess ? part : part * (1 - statedHolds(words, id));
    const out = Object.values(words.links ?? {}).filter(({ from }) => from === id);
    const stated = sumOf(out.map(({ share }) => (share as number | undefined) ?? 0));
    const open = out.filter(({ share }) => share === undefined).length;
    for (const link of out) {
      const share = (link.share as number | undefined) ?? (1 - stated) / open;
      walk(link.to, left * share, isGuess ? [...through, id] : through);
    }
  };
  const { drainsTo } = (words.zones as Record<string, Words>)[zone];
  if (typeof drainsTo === 'string') walk(drainsTo, 1, []);
  else for (const { to: first, share } of drainsTo as { to: string; share: number }[]) walk(first, share, []);
  return found;
}

function originsOf(words: YardWords, findings: readonly RawFinding[], unmappedShare: number): Origin[] {
  const zones = Object.entries(words.zones ?? {}).map(([id, zone]) => zoneOrigin(words, [id, zone], findings));
  const total = sumOf(zones.map(({ litresPerYear }) => litresPerYear));
  const inlets = Object.values(words.structures).filter(({ kind }) => INLETS.includes(kind)).length;
  const places = [...new Set(findings.map(({ at }) => at))].filter((at) => words.structures[at] !== undefined);
  const nominal = new Map(guessesIn(words).map(({ id, odds }) => [id, odds / (1 + odds)]));
  const unmapped = places.map((at): Origin => {
    const arriving = sumOf(
      zones.map(
        ({ id, litresPerYear }) => litresPerYear * sumOf(waysTo(words, id, at).map((way) => along(way, nominal))),
      ),
    );
    return {
      id: `unmapped ${at}`,
      litresPerYear: unmappedShare * Math.max(arriving, total / Math.max(1, inlets)),
      activity: null,
      shared: 0,
      own: 0,
      // What is not on the map comes out where it was found and is not followed further down.
      ways: findings.map((finding) => (finding.at === at ? [{ part: 1, through: [] }] : [])),
      fluids: [{ fluid: null, part: 1 }],
    };
  });
  return [...zones, ...unmapped];
}

function zoneOrigin(words: YardWords, [id, zone]: [string, Words], findings: readonly RawFinding[]): Origin {
  const odds = words.site?.odds as { yieldFactor?: number } | undefined;
  const stated = zone.yieldFactor as number | undefined;
  const half = Math.log(odds?.yieldFactor ?? 2) / Math.SQRT2;
  const isRough = stated === undefined && zone.oilLitresPerYear === undefined;
  return {
    id,
    litresPerYear: (zone.oilLitresPerYear as number | undefined) ?? (zone.areaM2 as number) * PARKING,
    activity: 'parking',
    shared: isRough ? half : 0,
    own: isRough ? half : Math.log(stated ?? 1),
    ways: findings.map(({ at, rainMm }) => {
      if (at === id) return [{ part: 1, through: [] }];
      if (words.structures[at] === undefined) return [];
      const rain = rainMm === undefined || zone.dryFlow === true ? 1 : 1 - Math.exp(-0.18 * rainMm);
      return waysTo(words, id, at)
        .map(({ part, through }) => ({ part: part * rain, through }))
        .filter(({ part }) => part > 0);
    }),
    fluids: fluidsOf(zone, findings),
  };
}

/** Litres of floating oil from a square metre of parking in a year (method.md, Yield). */
const PARKING = (15.3e-6 * 630 * 0.15) / 0.89;

function fluidsOf({ fluids }: Words, findings: readonly RawFinding[]): Origin['fluids'] {
  const named = [...new Set(findings.flatMap(({ fluid }) => (fluid === undefined ? [] : [fluid])))];
  const listed = fluids as { fluid: string; share?: number }[] | undefined;
  const own: { fluid: string; share?: number }[] = listed ?? FLOATING.map((fluid) => ({ fluid }));
  const stated = sumOf(own.map(({ share }) => share ?? 0));
  const open = own.filter(({ share }) => share === undefined).length;
  const parts = named.map((fluid) => ({
    fluid,
    part: sumOf(own.filter((each) => each.fluid === fluid).map(({ share }) => share ?? (1 - stated) / open)),
  }));
  return [...parts, { fluid: null, part: 1 - sumOf(parts.map(({ part }) => part)) }];
}

function piecesOf(origins: readonly Origin[], findings: readonly RawFinding[]): Piece[] {
  const windows = findings.map(({ since, seenAt }) => [Date.parse(since), Date.parse(seenAt)]);
  const cuts = [...new Set(windows.flat())].sort((a, b) => a - b);
  const pieces: Piece[] = [];
  origins.forEach(({ ways, fluids, activity, litresPerYear }, origin) => {
    if (litresPerYear === 0) return;
    for (const { fluid, part } of fluids) {
      cuts.slice(1).forEach((end, index) => {
        const seenBy = findings.flatMap((finding, look) => {
          const isInWindow = windows[look][0] <= cuts[index] && end <= windows[look][1];
          const isItsFluid = activity === null || finding.fluid === undefined || finding.fluid === fluid;
          return isInWindow && isItsFluid && ways[look].length > 0 ? [look] : [];
        });
        const years = (end - cuts[index]) / MS_PER_YEAR;
        if (seenBy.length > 0 && part > 0) pieces.push({ origin, part: part * years, seenBy });
      });
    }
  });
  return pieces;
}

/** The finding in whose window shares are taken: the latest at the point. */
function targetOf(findings: readonly RawFinding[], at: string): number {
  const here = findings.flatMap((finding, index) => (finding.at === at ? [index] : []));
  return here.reduce((a, b) => (Date.parse(findings[b].seenAt) > Date.parse(findings[a].seenAt) ? b : a));
}

function drawYields(origins: readonly Origin[], random: Random): number[] {
  const byActivity = new Map<string, number>();
  return origins.map(({ litresPerYear, activity, shared, own }) => {
    const kin = activity ?? '';
    if (!byActivity.has(kin)) byActivity.set(kin, random.normal());
    return litresPerYear * Math.exp(shared * (byActivity.get(kin) as number) + own * random.normal());
  });
}

interface Drawn {
  pieces: readonly Piece[];
  shapes: readonly number[];
  litres: number[];
  theta: number;
  random: Random;
}

interface Sizing {
  finding: RawFinding;
  sized: number;
  delivered: number[][];
  held: number[];
}

/**
 * Gives the pieces that an amount speaks of the size it tells, and keeps their direction, which is a Dirichlet and knows
 * nothing of size. The prior of their sum is Gamma(A, θ); the density it was drawn from is the amount's likelihood over
 * ln size, so that what is left as the weight is the prior density of ln size. Returns its logarithm.
 */
function resize({ pieces, shapes, litres, theta, random }: Drawn, { finding, sized, delivered, held }: Sizing): number {
  const { litres: found, factor = 1.5 } = finding.amount as { litres: number; factor?: number };
  const told = found * factor ** random.normal();
  let [entered, size, shape] = [0, 0, 0];
  pieces.forEach(({ origin, seenBy }, at) => {
    if (!seenBy.includes(sized)) return;
    entered += delivered[origin][sized] * litres[at];
    size += litres[at];
    shape += shapes[at];
  });
  const by = told / (held[sized] * entered);
  if (!Number.isFinite(by)) return Number.NEGATIVE_INFINITY;
  pieces.forEach(({ seenBy }, at) => {
    if (seenBy.includes(sized)) litres[at] *= by;
  });
  return shape * Math.log((size * by) / theta) - (size * by) / theta - logGamma(shape);
}

function logChance({ seen, amount, noticeLitres = 0.1, misread }: RawFinding, entered: number, held: number): number {
  if (amount) {
    const off = Math.log((held * entered) / amount.litres) / Math.log(amount.factor ?? 1.5);
    return -0.5 * off * off;
  }
  const nothing = Math.exp(-entered / noticeLitres);
  const right = seen === 'clean' ? nothing : 1 - nothing;
  const wrong = misread ?? (seen === 'clean' ? 0.05 : 0.03);
  return Math.log((1 - wrong) * right + wrong * (1 - right));
}

/** Cells of ln odds from −60 to 60. */
const CELLS = 12_000;
const cellOf = (share: number) => {
  const logOdds = Math.log(share) - Math.log1p(-share);
  return Math.min(CELLS - 1, Math.max(0, Math.floor((logOdds + 60) * 100)));
};

/** Weighted shares as they are drawn. */
class Tally {
  private readonly cells: Float64Array[];
  private readonly main: Float64Array;
  private readonly sums: Float64Array;
  private readonly squares: Float64Array;
  private total = 0;
  private totalOfSquares = 0;
  private top = Number.NEGATIVE_INFINITY;

  constructor(private readonly size: number) {
    this.cells = Array.from({ length: size }, () => new Float64Array(CELLS));
    [this.main, this.sums, this.squares] = [0, 1, 2].map(() => new Float64Array(size));
  }

  add(parts: Float64Array, logWeight: number): void {
    const whole = parts.reduce((sum, part) => sum + part, 0);
    if (logWeight === Number.NEGATIVE_INFINITY || !(whole > 0)) return;
    if (logWeight > this.top) this.scaleDown(logWeight);
    const weight = Math.exp(logWeight - this.top);
    this.total += weight;
    this.totalOfSquares += weight * weight;
    let largest = 0;
    for (let at = 0; at < this.size; at++) {
      const share = parts[at] / whole;
      this.sums[at] += weight * share;
      this.squares[at] += weight * share * share;
      this.cells[at][cellOf(share)] += weight;
      if (parts[at] > parts[largest]) largest = at;
    }
    this.main[largest] += weight;
  }

  private scaleDown(top: number): void {
    const by = Math.exp(this.top - top);
    for (const each of [...this.cells, this.main, this.sums, this.squares]) {
      for (let at = 0; at < each.length; at++) each[at] *= by;
    }
    this.total *= by;
    this.totalOfSquares *= by * by;
    this.top = top;
  }

  effectiveDraws(): number {
    return this.total > 0 ? this.total ** 2 / this.totalOfSquares : 0;
  }

  answer(ids: readonly string[]): SlowAnswer {
    const shares = ids.map((id, at): [string, SlowShare] => {
      const mean = this.sums[at] / this.total;
      const below = (share: number) => {
        const cell = cellOf(share);
        return (sumOf([...this.cells[at].subarray(0, cell)]) + this.cells[at][cell] / 2) / this.total;
      };
      const sd = Math.sqrt(Math.max(0, this.squares[at] / this.total - mean * mean));
      return [id, { mean, sd, main: this.main[at] / this.total, below }];
    });
    return { shares: new Map(shares), effectiveDraws: this.effectiveDraws() };
  }
}
