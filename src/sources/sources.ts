import { dirichletParts } from '../algorithms/index.ts';
import type { Drainage } from '../drainage/index.ts';
import { byId, idCure, type Position, type Problem, problem, show } from '../site-map/index.ts';
import { deliveryModel } from './delivery-model.ts';
import { type Draws, drawPosterior } from './draws.ts';
import type { Evidence, Source } from './evidence.ts';
import type { Finding } from './findings.ts';
import { type LidPlan, mainSources, type NextLid, rankLids } from './next-lid.ts';
import { isSeen } from './observation.ts';
import { checkStart, poseQuestion, type Question, type SourcesOptions } from './question.ts';
import { type Reason, reasonsFor } from './reasons.ts';
import { fluidShares } from './yields.ts';

/** A part of the oil found: mean, 5 % and 95 % bounds, and the chance of being the largest part. All from 0 to 1. */
export interface Share {
  share: number;
  low: number;
  high: number;
  main: number;
}

export interface ZoneShare extends Share {
  id: string;
  /** What each finding did to the odds that this zone is the main source; findings that changed little are left out. */
  why: Reason[];
}

/** What `sources` answers. */
export interface SourcesAnswer {
  /** The structure whose oil is spoken of; null when nothing oily was found: then it is the oil of the whole yard. */
  at: string | null;
  /** Zones whose oil can be in it, largest share first. With `unmapped` they add up to 1. */
  zones: ZoneShare[];
  unmapped: Share;
  /** Zones that the findings cannot tell apart, two or more to a group. */
  groups: string[][];
  /** Zones whose oil cannot have got to a place between the last clean look and this one, with the minutes it takes at least. */
  ruledOut: RuledOut[];
  nextLids: NextLid[];
  /** The best lid, and the best after each answer, three lids deep. */
  lidPlan: LidPlan | null;
  /** Where the walker stands, [longitude, latitude]; null when that was not told: then lids have no minutes. */
  from: Position | null;
  /** Whether oil was found at the point at all; if not, the shares are of what may have come all the same. */
  isOily: boolean;
  /** The findings the answer rests on, and the one in whose window the shares are taken (null where nobody looked). */
  findings: string[];
  finding: string | null;
  /** How it was computed: in closed form, or from draws; then as good as how many, and how well chains agree (1 = fully). */
  method: 'exact' | 'draws';
  effectiveDraws: number | null;
  rHat: number | null;
  /** False where the draws are too few or disagree: the figures are then rough, and it must be said. */
  isSure: boolean;
  /** Litres of one typical release: given, or the median inferred with its 5 % and 95 % bounds. */
  release: { litres: number; low: number; high: number; given: boolean };
}

/** A zone that is too far from a finding for its window, which is shorter than a day. */
export interface RuledOut {
  id: string;
  finding: string;
  minutes: number;
  windowMinutes: number;
}

const TAIL = 0.05;
/** Deliveries closer than this are the same. */
const SAME_DELIVERY = 1e-9;
/** Below so many effective draws, or above such an R-hat, the answer says that it is rough. */
const FEWEST_DRAWS = 100;
const LARGEST_R_HAT = 1.1;

export interface SourcesReply {
  /** null when a problem is an error. */
  answer: SourcesAnswer | null;
  problems: Problem[];
}

/**
 * Where did the oil come from? Each zone's share of the oil at the point where the largest amount was found (or at
 * `options.at`), in the window of that finding, from all findings together.
 *
 * With one finding, equal delivery and yields, θ and `holds` known, the shares are Dirichlet(μT/θ) and the bounds and
 * chances are exact (design §3, Posterior); else they come from seeded draws. The drainage must be
 * compiled from a map without errors.
 */
export function findSources(
  drainage: Drainage,
  findings: readonly Finding[],
  options: SourcesOptions = {},
): SourcesReply {
  const problems = checkOptions(drainage, options);
  if (problems.length > 0) return { answer: null, problems };
  const question = poseQuestion(drainage, findings, options);
  const { at, evidence, target } = question;
  const { sources } = evidence;
  const reaches = evidence.delivered[target];
  if (!evidence.cells.some(({ seenBy }) => seenBy.includes(target))) {
    return { answer: null, problems: [nothingReleased(at)] };
  }
  const draws = drawPosterior(drainage, question);
  const isExact = isDirichlet(drainage, question);
  const shares = isExact ? exactShares(question) : drawnShares(sources, draws);
  const why = reasonsFor(evidence, draws);
  const zones = sources
    .flatMap(({ zone }, source) =>
      zone && reaches[source] > 0 ? [{ id: zone.id, ...shares[source], why: why[source] }] : [],
    )
    .sort((a, b) => b.share - a.share || byId(a.id, b.id));
  const unmapped = sources.findIndex((source) => source.zone === null && source.at === at);
  const { lids, plan } = rankLids(drainage, question, draws);
  const { effectiveCount, rHat } = draws.mixing;
  const answer: SourcesAnswer = {
    at,
    zones,
    unmapped: unmapped >= 0 ? shares[unmapped] : { share: 0, low: 0, high: 0, main: 0 },
    groups: equalDelivery(question),
    ruledOut: ruledOut(evidence),
    nextLids: lids,
    lidPlan: plan,
    from: question.from,
    findings: evidence.findings.map(({ id }) => id).filter((id) => id !== ''),
    finding: evidence.findings[target].id || null,
    isOily: question.isOily,
    method: isExact ? 'exact' : 'draws',
    effectiveDraws: isExact ? null : effectiveCount,
    rHat: isExact ? null : rHat,
    isSure: isExact || (effectiveCount >= FEWEST_DRAWS && rHat <= LARGEST_R_HAT),
    release: releaseOf(question, draws),
  };
  return { answer, problems: question.notes };
}

function checkOptions({ map, nodeOf }: Drainage, { at, from }: SourcesOptions): Problem[] {
  const problems = from === undefined ? [] : checkStart(map, from);
  if (at === undefined || map.structures.some(({ id }) => id === at)) return problems;
  const message = nodeOf.has(at)
    ? `${show(at)} is a zone, where oil is not collected`
    : `no structure has the id ${show(at)}`;
  const ids = map.structures.map(({ id }) => id);
  const cure = idCure(at, ids, 'name a structure of the map');
  return [
    problem(
      'unknown-id',
      { id: at, field: '--at' },
      { message, found: show(at), allowed: 'the id of a structure', cure },
    ),
    ...problems,
  ];
}

function nothingReleased(at: string | null): Problem {
  const message =
    at === null
      ? 'no zone of this map is expected to release oil'
      : `no zone that drains to ${at} is expected to release oil, and nothing unmapped is allowed for`;
  return problem(
    'no-finding',
    { id: at, field: null },
    { message, cure: 'draw the zones, mend their areas or weights, or allow for an unmapped source' },
  );
}

/** Whether the shares are Dirichlet whatever was found: one finding, equal delivery, and nothing unsure but litres. */
function isDirichlet(drainage: Drainage, { evidence, releaseLitres }: Question): boolean {
  const { sources, cells, findings, delivered } = evidence;
  if (findings.length > 1 || releaseLitres === null || findings[0].source.fluid !== undefined) return false;
  const counted = cells.map(({ source }) => source);
  const model = deliveryModel(drainage, evidence);
  const strayed = model.at(new Float64Array(model.guessed).fill(1)).delivered[0];
  return counted.every(
    (source) =>
      sources[source].roughness.activity === 0 &&
      sources[source].roughness.own === 0 &&
      Math.abs(delivered[0][source] - delivered[0][counted[0]]) <= SAME_DELIVERY &&
      strayed[source] === delivered[0][source],
  );
}

function exactShares({ evidence, releaseLitres }: Question): Share[] {
  const shapes = evidence.sources.map(() => 0);
  for (const { source, years } of evidence.cells) {
    shapes[source] += (evidence.sources[source].litresPerYear * years) / (releaseLitres as number);
  }
  return dirichletParts(shapes, TAIL).map(({ mean, low, high, largest }) => ({
    share: mean,
    low,
    high,
    main: largest,
  }));
}

function drawnShares(sources: readonly Source[], { count, share }: Draws): Share[] {
  const largest = new Float64Array(sources.length);
  for (const source of mainSources({ count, share }, sources.length)) largest[source]++;
  const values = new Float64Array(count);
  return sources.map((_, source) => {
    let sum = 0;
    for (let draw = 0; draw < count; draw++) {
      values[draw] = share[draw * sources.length + source];
      sum += values[draw];
    }
    const [low, high] = sum === 0 ? [0, 0] : quantiles(values, [TAIL, 1 - TAIL]);
    return { share: sum / count, low, high, main: largest[source] / count };
  });
}

/** The values under which the given parts of the draws lie. O(n log n). */
function quantiles(values: Float64Array, chances: readonly number[]): number[] {
  const sorted = values.slice().sort();
  return chances.map((chance) => sorted[Math.min(sorted.length - 1, Math.floor(chance * sorted.length))]);
}

function releaseOf({ releaseLitres }: Question, draws: Draws): SourcesAnswer['release'] {
  if (releaseLitres !== null) return { litres: releaseLitres, low: releaseLitres, high: releaseLitres, given: true };
  const [low, litres, high] = quantiles(draws.releaseLitres, [TAIL, 0.5, 1 - TAIL]);
  return { litres, low, high, given: false };
}

/** Groups of two or more zones that deliver the same to every finding: nothing seen so far can tell them apart. */
function equalDelivery({ at, evidence, target }: Question): string[][] {
  const { findings, sources, delivered, minutes } = evidence;
  const seen = findings.flatMap((each, index) => (isSeen(each) ? [index] : []));
  if (seen.length === 0 || at === null) return [];
  const groups = new Map<string, string[]>();
  sources.forEach(({ zone }, source) => {
    if (!zone || delivered[target][source] === 0) return;
    const key = seen
      .map((index) => {
        const { fluid } = findings[index].source;
        const part = fluid === undefined ? 1 : fluidShares(zone, [fluid])[0].share;
        return `${Math.round((delivered[index][source] * part) / SAME_DELIVERY)} ${minutes[index][source]}`;
      })
      .join();
    groups.set(key, [...(groups.get(key) ?? []), zone.id]);
  });
  return [...groups.values()].filter((group) => group.length > 1).map((group) => group.sort(byId));
}

const MINUTES_PER_YEAR = 365.25 * 24 * 60;

/** Zones that a window of less than a day is too short for, nearest finding first. */
function ruledOut({ findings, sources, minutes }: Evidence): RuledOut[] {
  return findings.flatMap((each, index) => {
    const { id, years } = each;
    const windowMinutes = years * MINUTES_PER_YEAR;
    if (!isSeen(each)) return [];
    return sources.flatMap(({ zone }, source) =>
      zone && minutes[index][source] >= windowMinutes && minutes[index][source] > 0
        ? [{ id: zone.id, finding: id, minutes: minutes[index][source], windowMinutes }]
        : [],
    );
  });
}
