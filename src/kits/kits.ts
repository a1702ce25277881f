import type { IntegerSolver } from '../algorithms/index.ts';
import { told } from '../catalogue/index.ts';
import { type Drainage, shapeIn } from '../drainage/index.ts';
import {
  distanceTo,
  metreFrame,
  middleOfZone,
  type Position,
  type Problem,
  problem,
  walkingGround,
  type Zone,
} from '../site-map/index.ts';
import { expectedLitresPerYear } from '../sources/index.ts';
import { contentsFor, type KitContents, refillFor } from './contents.ts';
import { fewestWithin, mostWithin } from './covering.ts';
import { costOf, type Median, nearest, pMedian } from './median.ts';
import { existingKits, type Spot, spotsOf } from './spots.ts';

/** How many kits, and by what they are placed. */
export interface KitsQuestion {
  /** Told how much of the work is done, 0 to 1. */
  onPart?: (part: number) => void;
  /** New kits to place, 1 or more; left out with `withinMinutes`: as few as cover every zone. */
  count?: number;
  /** Whether the kits on the map stay where they are and count. */
  keep?: boolean;
  /** Minutes within which a kit should be: zones beyond it are what is minimised, not the mean. */
  withinMinutes?: number;
}

/** A kit of a plan, new or standing. */
export interface PlacedKit {
  /** [longitude, latitude]. */
  at: Position;
  /** The map's spot or kit; null for a place that was made up. */
  spot: string | null;
  /** It stands there already. */
  isStanding: boolean;
  /** What putting it up costs, in the site's currency; null where the map does not say. */
  cost: number | null;
  /** Zones whose nearest kit it is, in the map's order. */
  serves: string[];
  /** Minutes of the farthest of them; null where it serves none. */
  farthestMinutes: number | null;
  contents: KitContents;
  /** What a standing kit lacks; null for a new one, or where it lists no contents. */
  refill: Partial<KitContents> | null;
  /** Why here: what the mean would be without it; null where it is the only one. */
  meanWithout: number | null;
}

/** Where kits should stand, for one question. */
export interface KitsPlan {
  kits: PlacedKit[];
  /** Minutes on foot from a zone's middle to its kit, weighted by what the zone is expected to release. */
  meanMinutes: number;
  worstMinutes: number;
  /** 0 where it is proved to be the best; else by how much it may be off. */
  gap: number;
  /** Zones beyond `withinMinutes`; empty where that was not asked. */
  beyond: string[];
  /** Fuelling zones farther from every kit than the rule of one state allows; those that stand count in any case. */
  fuelingFar: { zone: string; metres: number }[];
  /** Places that were looked at. */
  spots: number;
}

export interface KitsAnswer extends KitsPlan {
  /** The least mean for one to eight new kits; by mean walk also where the plan goes by `withinMinutes`. */
  curve: CurvePoint[];
}

/** The least mean walk, in minutes, that so many new kits allow. */
export interface CurvePoint {
  count: number;
  meanMinutes: number;
}

/** The curve so far, and how much of it has been worked out, 0 to 1. */
export interface CurveSoFar {
  points: CurvePoint[];
  part: number;
}

/**
 * A spill kit within 25 ft of all fuelling, in metres (Washington State, source control of fuelling and spill plans, filed
 * by Everett, document 1532323, p. 45). A hint, not a law elsewhere.
 */
const FUELING_RULE_M = 7.62;
const CURVE_LENGTH = 8;

/**
 * Where should kits stand? The plan, and the least mean for one to eight new kits, by the given solver: up to eight
 * programs more than `planKits`, and the same walks twice. `answer` is null where the plan is. `onPart` is told after
 * each point of the curve.
 */
export function findKits(
  drainage: Drainage,
  question: KitsQuestion,
  solve: IntegerSolver,
): { answer: KitsAnswer | null; problems: Problem[] } {
  const { answer, problems } = planKits(drainage, question, solve);
  if (!answer) return { answer, problems };
  let curve: CurvePoint[] = [];
  for (const { points, part } of kitsCurve(drainage, question, solve)) {
    curve = points;
    question.onPart?.(part);
  }
  return { answer: { ...answer, curve }, problems };
}

/**
 * Where should kits stand? N of the map's spots, so that the mean walk from a zone's middle to its nearest kit,
 * weighted by the zone's expected release, is least; or, with `withinMinutes`, so that most of that weight (or, without
 * a count, all of it with the fewest kits) is within so many minutes. All exact, by the given solver. One walk for each
 * zone and one program, two with both.
 *
 * `answer` is null, with the problem that says why, where there is nothing to place, nobody can walk to a spot, no spot
 * is near enough, or the solver gave up. Exact means: the best of these spots for these walks and weights. A weight is
 * a zone's expected litres a year, mostly a guess within a factor of two, and a zone is one place, its middle, so two
 * plans whose means differ by little are equally good.
 *
 * @example
 * import loadHighs from 'highs';
 * import { integerSolver } from 'oilshed/algorithms';
 * import { compileDrainage } from 'oilshed/drainage';
 * import { planKits } from 'oilshed/kits';
 * import { readSiteMap } from 'oilshed/site-map';
 * const spot = (id: string, x: number) => ({ type: 'Feature', id, properties: { kind: 'kit-spot' }, geometry: { type: 'Point', coordinates: [x, 40] } });
 * const ring = [[-105.001, 40], [-105, 40], [-105, 40.001], [-105.001, 40]];
 * const zone = { type: 'Feature', id: 'Z-1', properties: { kind: 'zone', activity: 'parking' }, geometry: { type: 'Polygon', coordinates: [ring] } };
 * const features = [spot('S-1', -105.01), spot('S-2', -105.0005), zone];
 * const { map } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site: { format: 'oilshed-site', version: 1 }, features }));
 * const { answer } = planKits(compileDrainage(map), { count: 1 }, integerSolver(await loadHighs()));
 * answer?.kits.map((kit) => kit.spot); // → ['S-2']
 * answer?.gap; // → 0
 */
export function planKits(
  drainage: Drainage,
  question: KitsQuestion,
  solve: IntegerSolver,
): { answer: KitsPlan | null; problems: Problem[] } {
  const { yard, problems } = yardOf(drainage, question);
  if (!yard) return { answer: null, problems };
  const placed = placeKits(yard, question, solve);
  if (!placed) return { answer: null, problems: [...problems, noPlan()] };
  if (placed.open.length === 0) return { answer: null, problems: [...problems, nobodyNear(question)] };
  return { answer: planOf(yard, question, placed), problems };
}

/**
 * The least mean for one to eight new kits, or as many as there are spots: a number of kits, and a program, at each
 * step, so that a caller can show how far it is, or stop. Nothing where there is nothing to place; a point that the
 * solver gave up on is left out. The means never rise with the number, since one spot more can only shorten a walk.
 */
export function* kitsCurve(
  drainage: Drainage,
  { keep }: Pick<KitsQuestion, 'keep'>,
  solve: IntegerSolver,
): Generator<CurveSoFar> {
  const { yard } = yardOf(drainage, { keep });
  if (!yard) return;
  const { spots, median } = yard;
  const most = Math.min(CURVE_LENGTH, spots.length - median.fixed.length);
  const points: CurvePoint[] = [];
  for (let count = 1; count <= most; count++) {
    const best = pMedian({ ...median, count }, solve);
    if (best) points.push({ count, meanMinutes: meanOf(median, best.open) });
    yield { points: [...points], part: count / most };
  }
}

/**
 * What programs are made of; null, with the problem, where there is nothing to place. Standing kits come first among
 * the spots, so that their numbers are those of the fixed ones. Zones from which no spot can be walked to are left out
 * and told: a program could not place anything for them, and their mean would be infinite.
 */
function yardOf(drainage: Drainage, question: KitsQuestion): { yard: Yard | null; problems: Problem[] } {
  const { map } = drainage;
  const kept = question.keep ? existingKits(map) : [];
  const free = spotsOf(map);
  const spots = [...kept, ...free];
  const problems = checkQuestion(question, free, map.zones.length);
  if (problems.some(({ severity }) => severity === 'error')) return { yard: null, problems };
  const walks = walksFrom(drainage, spots);
  const cut = walks.filter(({ row }) => row.every((minutes) => !Number.isFinite(minutes)));
  problems.push(...cut.map(({ zone }) => noWay(zone)));
  const reached = walks.filter((walk) => !cut.includes(walk));
  if (reached.length === 0) return { yard: null, problems: [...problems, nobodyWalks()] };
  const median = {
    distance: reached.map(({ row }) => row),
    weight: weightsOf(reached.map(({ zone }) => zone)),
    fixed: kept.map((_, at) => at),
  };
  return { yard: { drainage, spots, reached, median }, problems };
}

const meanOf = (median: Yard['median'], open: readonly number[]) =>
  costOf(median, open) / median.weight.reduce((sum, weight) => sum + weight, 0);

interface Walk {
  zone: Zone;
  row: number[];
}

interface Yard {
  drainage: Drainage;
  spots: Spot[];
  reached: Walk[];
  median: Omit<Median, 'count'>;
}

function walksFrom({ map }: Drainage, spots: readonly Spot[]): Walk[] {
  const { minutesFrom } = walkingGround(map);
  const places = spots.map(({ position }) => position);
  return map.zones.map((zone) => ({ zone, row: minutesFrom(middleOfZone(zone), places) }));
}

/**
 * Expected litres a year; every zone alike where none is expected to release any, since with no weight at all every set
 * of spots would be as good as any other.
 */
function weightsOf(zones: readonly Zone[]): number[] {
  const litres = zones.map(expectedLitresPerYear);
  return litres.some((each) => each > 0) ? litres : litres.map(() => 1);
}

function placeKits(
  { median }: Yard,
  { count, withinMinutes }: KitsQuestion,
  solve: IntegerSolver,
): { open: number[]; gap: number } | null {
  if (withinMinutes === undefined) return pMedian({ ...median, count: count ?? 1 }, solve);
  return count === undefined
    ? fewestWithin(median, withinMinutes, solve)
    : mostWithin({ ...median, count }, withinMinutes, solve);
}

function planOf(yard: Yard, { withinMinutes }: KitsQuestion, { open, gap }: { open: number[]; gap: number }): KitsPlan {
  const { drainage, spots, reached, median } = yard;
  const servedBy = median.distance.map((row) => nearest(row, open));
  const kits = open.map((spot): PlacedKit => {
    const { id, position, isTaken, cost } = spots[spot];
    const served = reached.filter((_, client) => servedBy[client].spot === spot).map(({ zone }) => zone);
    const minutes = servedBy.filter((each) => each.spot === spot).map(({ distance }) => distance);
    const others = open.filter((each) => each !== spot);
    const contents = contentsFor(drainage, served);
    return {
      at: [position[0], position[1]],
      spot: id,
      isStanding: isTaken,
      cost,
      serves: served.map((zone) => zone.id),
      farthestMinutes: minutes.length > 0 ? Math.max(...minutes) : null,
      contents,
      refill: isTaken && id !== null ? refillFor(drainage.map, id, contents) : null,
      meanWithout: others.length > 0 ? meanOf(median, others) : null,
    };
  });
  const beyond = reached.filter((_, client) => servedBy[client].distance > (withinMinutes ?? Number.POSITIVE_INFINITY));
  return {
    kits,
    meanMinutes: meanOf(median, open),
    worstMinutes: servedBy.reduce((most, { distance }) => Math.max(most, distance), 0),
    gap,
    beyond: beyond.map(({ zone }) => zone.id),
    fuelingFar: fuelingFar(yard, [
      ...open.map((spot) => spots[spot].position),
      ...existingKits(drainage.map).map(({ position }) => position),
    ]),
    spots: spots.length,
  };
}

function fuelingFar({ reached }: Yard, kits: readonly Position[]): KitsPlan['fuelingFar'] {
  return reached
    .filter(({ zone }) => zone.properties.activity === 'fueling')
    .map(({ zone }) => ({
      zone: zone.id,
      metres: Math.min(...kits.map((position) => distanceTo(shapeIn(metreFrame(position), zone), [0, 0]))),
    }))
    .filter(({ metres }) => metres > FUELING_RULE_M);
}

function checkQuestion({ count }: KitsQuestion, free: readonly Spot[], zones: number): Problem[] {
  if (zones === 0) {
    const words = { message: told('kits.no-zones'), cure: told('kits.no-zones-remedy') };
    return [problem('no-zones', { id: null, field: null }, words)];
  }
  if (free.length === 0) {
    const words = { message: told('kits.no-spot'), cure: told('kits.no-spot-remedy') };
    return [problem('no-spot', { id: null, field: null }, words)];
  }
  if (count !== undefined && count > free.length) {
    return [
      problem(
        'too-many-kits',
        { id: null, field: '--count' },
        {
          message: told('kits.too-many', { spots: free.length, kits: count }),
          found: String(count),
          allowed: told('kits.count-allowed', { most: free.length }),
          cure: told('kits.too-many-remedy'),
        },
      ),
    ];
  }
  if (free.every(({ id }) => id === null)) {
    const message = told('kits.spots-guessed', { count: free.length });
    const cure = told('kits.spots-guessed-remedy');
    return [problem('spots-guessed', { id: null, field: null }, { message, cure })];
  }
  return [];
}

const noWay = ({ id }: Zone) =>
  problem('no-way', { id, field: null }, { message: told('kits.no-way'), cure: told('kits.no-way-remedy') });

const nobodyWalks = () =>
  problem(
    'no-spot',
    { id: null, field: null },
    { message: told('kits.nobody-walks'), cure: told('kits.nobody-walks-remedy') },
  );

const nobodyNear = ({ withinMinutes = 0 }: KitsQuestion) =>
  problem(
    'no-plan',
    { id: null, field: '--within' },
    {
      message: told('kits.nobody-near', { minutes: withinMinutes }),
      found: String(withinMinutes),
      allowed: told('kits.minutes-allowed'),
      cure: told('kits.nobody-near-remedy'),
    },
  );

const noPlan = () =>
  problem('no-plan', { id: null, field: null }, { message: told('kits.no-plan'), cure: told('kits.no-plan-remedy') });
