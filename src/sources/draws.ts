import { logGamma, logGammaDraw, type Random, seededRandom } from '../algorithms/index.ts';
import { type Drainage, type Flow, type UpstreamPart, upstreamOf, upstreamPart } from '../drainage/index.ts';
import { isStructureKind } from '../site-map/index.ts';
import { type Question, RELEASE_FACTOR, RELEASE_MEDIAN, type Source } from './question.ts';

/**
 * What an engine hands on: weighted draws of how much each source released in the window. Any engine that can draw
 * from the posterior can stand behind the answer by making these.
 */
export interface Draws {
  count: number;
  /** Litres released, source by source within each draw: count × sources. */
  released: Float64Array;
  /** Part of the oil at the point that is each source's, same layout; each draw adds up to 1. */
  share: Float64Array;
  /** θ of each draw, litres. */
  releaseLitres: Float64Array;
  /** Weight of each draw; they add up to 1. */
  weight: Float64Array;
  /** (Σ weight)² ÷ Σ weight²: as good as so many equal draws. */
  effectiveCount: number;
}

/** A default `holds` may be off by this factor on its odds, two times in three (contract §5). */
const HOLDS_ODDS_FACTOR = 3;
/** v0: oil of this volume leaves no sign with chance 1/e (contract §2). */
export const DEFAULT_NOTICE_LITRES = 0.1;
/** Chance that "oil" is said of a point that has none to see, or none of one that has (contract §5). */
export const OIL_MISREAD = 0.03;
const MOST_NUMBERS = 2_000_000;

/** How many draws are made: 20,000 for a yard, fewer where there are so many sources that memory would grow. */
export function drawCount(sources: number): number {
  return Math.max(2_000, Math.min(20_000, Math.floor(MOST_NUMBERS / Math.max(1, sources))));
}

/**
 * Draws for a question with one finding, by importance: the direction from the prior, p ~ Dirichlet(μT/θ), the size
 * from the finding, and the weight from what the prior says of that size (contract §5: unequal delivery is not
 * Dirichlet). θ, the roughness of yields and of default `holds` are drawn from their priors. Exact in the limit of many
 * draws for any deliveries; `effectiveCount` tells how far off that is. O(draws × (sources + edges upstream)).
 */
export function drawOneFinding(drainage: Drainage, question: Question): Draws {
  const { finding, sources, years } = question;
  const random = seededRandom(question.seed);
  const size = sources.length;
  const count = drawCount(size);
  const draws: Draws = {
    count,
    released: new Float64Array(count * size),
    share: new Float64Array(count * size),
    releaseLitres: new Float64Array(count),
    weight: new Float64Array(count),
    effectiveCount: count,
  };
  const deliver = deliveryDrawer(drainage, question, random);
  const logYield = yieldDrawer(sources, random);
  const logPart = new Float64Array(size);
  for (let draw = 0; draw < count; draw++) {
    const theta = question.releaseLitres ?? RELEASE_MEDIAN * RELEASE_FACTOR ** random.normal();
    const { delivered, holds } = deliver();
    logYield.next();
    let shapes = 0;
    for (let source = 0; source < size; source++) {
      const shape = (Math.exp(logYield.value(source)) * years) / theta;
      shapes += shape;
      logPart[source] = shape > 0 ? logGammaDraw(random, shape) : Number.NEGATIVE_INFINITY;
    }
    const top = logPart.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
    let [all, arriving] = [0, 0];
    for (let source = 0; source < size; source++) {
      logPart[source] = Math.exp(logPart[source] - top);
      all += logPart[source];
      arriving += logPart[source] * delivered[source];
    }
    // `arriving / all` of what was released comes to the point.
    const [total, logWeight] = sizeOf(finding, { theta, shapes, holds, passes: arriving / all }, random);
    draws.weight[draw] = logWeight;
    draws.releaseLitres[draw] = theta;
    for (let source = 0; source < size; source++) {
      draws.released[draw * size + source] = (total * logPart[source]) / all;
      draws.share[draw * size + source] = (logPart[source] * delivered[source]) / arriving;
    }
  }
  draws.effectiveCount = normaliseWeights(draws.weight);
  return draws;
}

interface SizeFacts {
  theta: number;
  shapes: number;
  holds: number;
  passes: number;
}

/** Total litres released in the window, and the log weight of having drawn it so. */
function sizeOf(
  finding: Question['finding'],
  { theta, shapes, holds, passes }: SizeFacts,
  random: Random,
): [number, number] {
  if (finding?.seen === 'amount') {
    const held = finding.litres * finding.factor ** random.normal();
    const total = held / (holds * passes);
    return [total, shapes * Math.log(total / theta) - total / theta - logGamma(shapes)];
  }
  const total = theta * Math.exp(logGammaDraw(random, shapes));
  if (!finding) return [total, 0];
  const { noticeLitres = DEFAULT_NOTICE_LITRES, misread = OIL_MISREAD } = finding.source;
  const noticed = -Math.expm1((-total * passes) / noticeLitres);
  return [total, Math.log((1 - misread) * noticed + misread * (1 - noticed))];
}

/** Turns log weights into weights that add up to 1, and comes back with the effective count. */
function normaliseWeights(weight: Float64Array): number {
  const top = weight.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  let [sum, squares] = [0, 0];
  for (let draw = 0; draw < weight.length; draw++) {
    weight[draw] = Math.exp(weight[draw] - top);
    sum += weight[draw];
    squares += weight[draw] ** 2;
  }
  for (let draw = 0; draw < weight.length; draw++) weight[draw] /= sum;
  return sum ** 2 / squares;
}

/** Draws log yields: each zone's own departure, and one that all zones of an activity share. */
function yieldDrawer(sources: readonly Source[], random: Random) {
  const logs = sources.map(({ litresPerYear }) => Math.log(litresPerYear));
  const byActivity = new Map<string, number>();
  const drawn = new Float64Array(sources.length);
  return {
    next() {
      byActivity.clear();
      sources.forEach(({ zone, roughness }, at) => {
        drawn[at] = logs[at];
        if (roughness.own > 0) drawn[at] += roughness.own * random.normal();
        if (!zone || roughness.activity === 0) return;
        const { activity } = zone.properties;
        const shared = byActivity.get(activity) ?? random.normal();
        byActivity.set(activity, shared);
        drawn[at] += roughness.activity * shared;
      });
    },
    value: (source: number) => drawn[source],
  };
}

/** Places whose `holds` is a default strictly between 0 and 1: a guess, to be drawn. */
function guessedPlaces({ map, order }: Drainage, part: UpstreamPart): number[] {
  const guessed: number[] = [];
  part.wholePlace.forEach((wholePlace, place) => {
    const node = order.nodeAt[wholePlace] - map.zones.length;
    const structure = map.structures[node];
    if (node < 0 || !isStructureKind(structure.kind) || structure.properties.holds !== undefined) return;
    if (part.holds[place] > 0 && part.holds[place] < 1) guessed.push(place);
  });
  return guessed;
}

/** Whether delivery to the point hangs on a guessed `holds` above it. */
export function hasGuessedDelivery(drainage: Drainage, at: string): boolean {
  const part = upstreamPart(drainage, drainage.order.placeOf[drainage.nodeOf.get(at) as number]);
  return guessedPlaces(drainage, part).some((place) => place !== part.target);
}

/** Draws the delivery of each source to the point, and what the point itself holds. */
function deliveryDrawer(drainage: Drainage, { at, sources }: Question, random: Random) {
  const delivered = Float64Array.from(sources, (source) => source.delivered);
  if (at === null) return () => ({ delivered, holds: 1 });
  const { order, nodeOf } = drainage;
  const part = upstreamPart(drainage, order.placeOf[nodeOf.get(at) as number]);
  const guessed = guessedPlaces(drainage, part);
  const nominal = part.holds;
  const holds = nominal.slice();
  const flow: Flow = { order: part.order, share: part.share, holds };
  const partPlace = new Map(Array.from(part.wholePlace, (wholePlace, place) => [wholePlace, place]));
  const placeOf = sources.map(({ zone }) =>
    zone ? (partPlace.get(order.placeOf[nodeOf.get(zone.id) as number]) as number) : -1,
  );
  const changesDelivery = guessed.some((place) => place !== part.target);
  return () => {
    for (const place of guessed) {
      const odds = (nominal[place] / (1 - nominal[place])) * HOLDS_ODDS_FACTOR ** random.normal();
      holds[place] = odds / (1 + odds);
    }
    if (changesDelivery) {
      const upstream = upstreamOf(flow, part.target);
      placeOf.forEach((place, source) => {
        if (place >= 0) delivered[source] = upstream.delivered[place];
      });
    }
    return { delivered, holds: holds[part.target] };
  };
}
