import { dirichletParts } from '../algorithms/index.ts';
import type { Drainage } from '../drainage/index.ts';
import { byId, type Problem, problem, show } from '../site-map/index.ts';
import { type Draws, drawOneFinding, hasGuessedDelivery } from './draws.ts';
import type { Finding } from './findings.ts';
import { mainSources, type NextLid, rankLids } from './next-lid.ts';
import { poseQuestion, type Question, type SourcesOptions } from './question.ts';

/** A part of the oil found: mean, 5 % and 95 % bounds, and the chance of being the largest part. All from 0 to 1. */
export interface Share {
  share: number;
  low: number;
  high: number;
  main: number;
}

export interface ZoneShare extends Share {
  id: string;
}

/** What `sources` answers. */
export interface SourcesAnswer {
  /** The structure whose oil is spoken of; null when nothing oily was found, and then these are the prior's shares. */
  at: string | null;
  /** Zones whose oil can be in it, largest share first. With `unmapped` they add up to 1. */
  zones: ZoneShare[];
  unmapped: Share;
  /** Zones that the finding cannot tell apart, two or more to a group. */
  groups: string[][];
  nextLids: NextLid[];
  /** The finding the answer rests on. */
  finding: string | null;
  /** How it was computed: in closed form, or from draws and as good as how many of them. */
  method: 'exact' | 'draws';
  effectiveDraws: number | null;
  /** Litres of one typical release: given, or the median inferred with its 5 % and 95 % bounds. */
  release: { litres: number; low: number; high: number; given: boolean };
}

const TAIL = 0.05;
/** Deliveries closer than this are the same. */
const SAME_DELIVERY = 1e-9;

export interface SourcesReply {
  /** null when a problem is an error. */
  answer: SourcesAnswer | null;
  problems: Problem[];
}

/**
 * Where did the oil come from? Each zone's share of the oil at the point where the largest amount was found (or at
 * `options.at`), from the one finding made there.
 *
 * Where delivery is equal and yields, θ and `holds` are known, the shares are Dirichlet(μT/θ) and the bounds and
 * chances are exact (design §3, Posterior); else they come from weighted draws, seeded. The drainage must be compiled
 * from a map without errors.
 */
export function findSources(
  drainage: Drainage,
  findings: readonly Finding[],
  options: SourcesOptions = {},
): SourcesReply {
  const problems = checkOptions(drainage, options);
  if (problems.length > 0) return { answer: null, problems };
  const question = poseQuestion(drainage, findings, options);
  if (question.sources.every(({ litresPerYear }) => litresPerYear === 0)) {
    const message =
      question.at === null
        ? 'no zone of this map is expected to release oil'
        : `no zone that drains to ${question.at} is expected to release oil, and nothing unmapped is allowed for`;
    return {
      answer: null,
      problems: [
        problem(
          'no-finding',
          { id: question.at, field: null },
          { message, cure: 'draw the zones, mend their areas or weights, or allow for an unmapped source' },
        ),
      ],
    };
  }
  const notes = findings
    .filter((finding) => finding !== question.finding)
    .map(({ id, at, seen }) =>
      problem(
        'not-counted',
        { id, field: null },
        {
          message: `${seen === 'amount' ? 'the amount' : `"${seen}"`} at ${at} is not counted: this answer rests on ${question.finding ? question.finding.id : 'no finding'} alone`,
          cure: 'weigh it by judgement',
        },
      ),
    );
  const draws = drawOneFinding(drainage, question);
  const exact = isDirichlet(drainage, question);
  const shares = exact ? exactShares(question) : drawnShares(question, draws);
  const opened = new Set(findings.map(({ at }) => at));
  const zones = question.sources
    .flatMap(({ zone }, at) => (zone ? [{ id: zone.id, ...shares[at] }] : []))
    .sort((a, b) => b.share - a.share || byId(a.id, b.id));
  const unmappedAt = question.sources.findIndex(({ zone }) => zone === null);
  const answer: SourcesAnswer = {
    at: question.at,
    zones,
    unmapped: unmappedAt >= 0 ? shares[unmappedAt] : { share: 0, low: 0, high: 0, main: 0 },
    groups: question.finding ? equalDelivery(question) : [],
    nextLids: rankLids(drainage, question, draws, opened),
    finding: question.finding?.id ?? null,
    method: exact ? 'exact' : 'draws',
    effectiveDraws: exact ? null : draws.effectiveCount,
    release: releaseOf(question, draws),
  };
  return { answer, problems: notes };
}

function checkOptions({ map, nodeOf }: Drainage, { at }: SourcesOptions): Problem[] {
  if (at === undefined || map.structures.some(({ id }) => id === at)) return [];
  const message = nodeOf.has(at)
    ? `${show(at)} is a zone, where oil is not collected`
    : `no structure has the id ${show(at)}`;
  return [
    problem(
      'unknown-id',
      { id: at, field: '--at' },
      { message, found: show(at), allowed: 'the id of a structure', cure: 'name a structure of the map' },
    ),
  ];
}

/** Whether the shares are Dirichlet whatever the amount: equal delivery, and nothing about yields, θ or `holds` unsure. */
function isDirichlet(drainage: Drainage, { at, sources, releaseLitres }: Question): boolean {
  const counted = sources.filter(({ litresPerYear }) => litresPerYear > 0);
  return (
    releaseLitres !== null &&
    counted.every(({ roughness }) => roughness.activity === 0 && roughness.own === 0) &&
    counted.every(({ delivered }) => Math.abs(delivered - counted[0].delivered) <= SAME_DELIVERY) &&
    (at === null || !hasGuessedDelivery(drainage, at))
  );
}

function exactShares({ sources, years, releaseLitres }: Question): Share[] {
  const shapes = sources.map(({ litresPerYear }) => (litresPerYear * years) / (releaseLitres as number));
  return dirichletParts(shapes, TAIL).map(({ mean, low, high, largest }) => ({
    share: mean,
    low,
    high,
    main: largest,
  }));
}

function drawnShares({ sources }: Question, draws: Draws): Share[] {
  const size = sources.length;
  const main = mainSources(draws, size);
  return sources.map((_, source) => {
    const values = Float64Array.from({ length: draws.count }, (__, draw) => draws.share[draw * size + source]);
    let [share, largest] = [0, 0];
    for (let draw = 0; draw < draws.count; draw++) {
      share += draws.weight[draw] * values[draw];
      if (main[draw] === source) largest += draws.weight[draw];
    }
    const [low, high] = weightedQuantiles(values, draws.weight, [TAIL, 1 - TAIL]);
    return { share, low, high, main: largest };
  });
}

/** The values under which the given parts of the weight lie; `chances` ascending. O(n log n). */
function weightedQuantiles(values: Float64Array, weight: Float64Array, chances: readonly number[]): number[] {
  const order = Uint32Array.from(values.keys()).sort((a, b) => values[a] - values[b]);
  const found: number[] = [];
  let below = 0;
  for (const draw of order) {
    below += weight[draw];
    while (found.length < chances.length && below >= chances[found.length]) found.push(values[draw]);
  }
  while (found.length < chances.length) found.push(values[order[order.length - 1]]);
  return found;
}

function releaseOf({ releaseLitres }: Question, { releaseLitres: drawn, weight }: Draws): SourcesAnswer['release'] {
  if (releaseLitres !== null) return { litres: releaseLitres, low: releaseLitres, high: releaseLitres, given: true };
  const [low, litres, high] = weightedQuantiles(drawn, weight, [TAIL, 0.5, 1 - TAIL]);
  return { litres, low, high, given: false };
}

/** Groups of two or more zones with the same delivery to the one finding: nothing seen so far can tell them apart. */
function equalDelivery({ sources }: Question): string[][] {
  const byDelivery = sources
    .flatMap(({ zone, delivered }) => (zone ? [{ id: zone.id, delivered }] : []))
    .sort((a, b) => b.delivered - a.delivered || byId(a.id, b.id));
  const groups: string[][] = [];
  byDelivery.forEach(({ id, delivered }, at) => {
    if (at > 0 && byDelivery[at - 1].delivered - delivered <= SAME_DELIVERY) groups[groups.length - 1].push(id);
    else groups.push([id]);
  });
  return groups.filter((group) => group.length > 1);
}
