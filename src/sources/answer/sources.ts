import { told } from '../../catalogue/index.ts';
import type { Drainage } from '../../drainage/index.ts';
import { byId, type Position, type Problem, problem } from '../../site-map/index.ts';
import type { Draws } from '../draws/draw-table.ts';
import { drawPosterior } from '../draws/draws.ts';
import type { Finding } from '../findings/findings.ts';
import { deliveryModel } from '../model/delivery-model.ts';
import { checkOptions } from '../question/check-options.ts';
import { poseQuestion, type Question, type SourcesOptions } from '../question/question.ts';
import { type LidPlan, type NextLid, rankLids } from './next-lid.ts';
import { type Reason, reasonsFor } from './reasons.ts';
import { drawnShares, exactRelease, exactShares, type Release, releaseOf, type Share } from './shares.ts';
import { equalDelivery, type RuledOut, ruledOut } from './told-apart.ts';

/** A zone's part of the oil at the point. */
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
  /** What is not on the map; all 0 where that was not allowed for. */
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
  /**
   * How it was computed: in closed form, or from draws; then as good as how many, and how well chains agree (1 = fully).
   * Both are null for the closed form, which has no error of drawing; with 100 effective draws a share has a standard
   * error of 0.05 at most.
   */
  method: 'exact' | 'draws';
  effectiveDraws: number | null;
  rHat: number | null;
  /** False where the draws are too few or disagree: the figures are then rough, and it must be said. */
  isSure: boolean;
  /** Litres of one typical release: given, or the median inferred with its 5 % and 95 % bounds. */
  release: Release;
}

/**
 * Below so many effective draws, or above such an R-hat, the answer says that it is rough. A share lies between 0 and 1, so its
 * standard deviation is 0.5 at most, and its error 0.5 ÷ √100. R-hat is that of Gelman et al. 2013, section 11.4; 1.1 is the
 * limit in common use.
 */
const FEWEST_DRAWS = 100;
const LARGEST_R_HAT = 1.1;
const NO_SHARE: Share = { share: 0, low: 0, high: 0, main: 0 };

/** An answer, or why there is none. */
export interface SourcesReply {
  /** null when a problem is an error. */
  answer: SourcesAnswer | null;
  /** Errors where there is no answer; else notes on findings that were not weighed. */
  problems: Problem[];
}

/**
 * Where did the oil come from? Each zone's share of the oil at the point where the largest amount was found (or at
 * `options.at`), in the window of that finding, from all findings together.
 *
 * With one finding, equal delivery and yields, θ and `holds` known, the shares are Dirichlet(μT/θ) and the bounds and
 * chances are exact (the sum and the proportions of gammas are independent, Lukacs 1955); else they come from seeded draws. The drainage must be
 * compiled from a map without errors.
 *
 * `findings` are as `readFindings` gives them for the same map, in any order; none is allowed, and then the answer is what yields
 * alone say. Nothing is thrown for bad options: the answer is null, and the problems say `unknown-id` or `bad-field` of `at` and
 * `from`, or `no-finding` where nothing that drains to the point is expected to release oil.
 *
 * Costs one posterior (some thousands of draws of O(cells × findings), or chains where these do not do) and the ranking of lids,
 * O(lids × (edges + draws × sources)). The same question with the same seed has the same answer.
 *
 * A share is a part of the oil at the point in that window, so it has delivery in it: a zone may spill most and have
 * little of it. It is not to be trusted beyond the yields it starts from, many of which are guesses: with few findings it is
 * mostly these. Bounds allow for what is modelled as unknown (litres, yields, guessed `holds`, θ) and not for a pipe that
 * the map has wrong. Where `isSure` is false the figures are rough, and zones in `groups` are told apart by their yields alone.
 *
 * @example
 * import { compileDrainage } from 'oilshed/drainage';
 * import { readSiteMap } from 'oilshed/site-map';
 * import { findSources, readFindings } from 'oilshed/sources';
 * const ring = [[-105, 40], [-104.999, 40], [-104.999, 40.001], [-105, 40]];
 * const lot = (id: string, oilLitresPerYear: number) => ({ type: 'Feature', id, properties: { kind: 'zone', activity: 'parking', oilLitresPerYear, drainsTo: 'CB-1' }, geometry: { type: 'Polygon', coordinates: [ring] } });
 * const lid = { type: 'Feature', id: 'CB-1', properties: { kind: 'catch-basin' }, geometry: { type: 'Point', coordinates: [-105, 40] } };
 * const site = { format: 'oilshed-site', version: 1 };
 * const { map } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site, features: [lot('Z-1', 3), lot('Z-2', 1), lid] }));
 * const oil = { id: 'F-1', at: 'CB-1', since: '2026-03-01', seenAt: '2026-05-30', seen: 'oil' };
 * const { findings } = readFindings(JSON.stringify({ format: 'oilshed-findings', version: 1, findings: [oil] }), map);
 * const { answer } = findSources(compileDrainage(map), findings, { releaseLitres: 2, unmappedShare: 0 });
 * answer?.zones.map(({ id, share }) => [id, share]); // → [['Z-1', 0.75], ['Z-2', 0.25]]
 * answer?.method; // → 'exact'
 */
export function findSources(
  drainage: Drainage,
  findings: readonly Finding[],
  options: SourcesOptions = {},
): SourcesReply {
  const problems = checkOptions(drainage, options);
  if (problems.length > 0) return { answer: null, problems };
  const question = poseQuestion(drainage, findings, options);
  const { at, evidence, target, from, isOily, notes } = question;
  if (!evidence.cells.some(({ seenBy }) => seenBy.includes(target))) {
    return { answer: null, problems: [nothingReleased(at)] };
  }
  const model = deliveryModel(drainage, evidence);
  const draws = drawPosterior(question, model);
  const theta = exactRelease(question, model);
  const shares = theta === null ? drawnShares(evidence, draws) : exactShares(evidence, theta);
  const unmapped = evidence.sources.findIndex((source) => source.zone === null && source.at === at);
  const { lids, plan } = rankLids(drainage, question, draws);
  const answer: SourcesAnswer = {
    at,
    zones: zoneShares(question, shares, reasonsFor(evidence, draws)),
    unmapped: shares[unmapped] ?? NO_SHARE,
    groups: equalDelivery(question),
    ruledOut: ruledOut(evidence),
    nextLids: lids,
    lidPlan: plan,
    from,
    findings: evidence.findings.map(({ id }) => id).filter((id) => id !== ''),
    finding: evidence.findings[target].id || null,
    isOily,
    ...(theta === null ? drawn(draws) : EXACT),
    release: releaseOf(question, draws),
  };
  return { answer, problems: notes };
}

/**
 * Zones of whose oil some gets to the point, largest share first. The others have a share of 0 by necessity and are not listed; a
 * listed zone may have 0 too, where the window is too short for its oil or the finding's fluid is not its own.
 */
function zoneShares({ evidence, target }: Question, shares: readonly Share[], why: readonly Reason[][]): ZoneShare[] {
  const { sources, delivered } = evidence;
  return sources
    .flatMap(({ zone }, source) =>
      zone && delivered[target][source] > 0 ? [{ id: zone.id, ...shares[source], why: why[source] }] : [],
    )
    .sort((a, b) => b.share - a.share || byId(a.id, b.id));
}

type Quality = Pick<SourcesAnswer, 'method' | 'effectiveDraws' | 'rHat' | 'isSure'>;

const EXACT: Quality = { method: 'exact', effectiveDraws: null, rHat: null, isSure: true };

/** How good drawn figures are, by the worst of the shares that matter. */
function drawn({ mixing: { effectiveCount, rHat } }: Draws): Quality {
  const isSure = effectiveCount >= FEWEST_DRAWS && rHat <= LARGEST_R_HAT;
  return { method: 'draws', effectiveDraws: effectiveCount, rHat, isSure };
}

function nothingReleased(at: string | null): Problem {
  const message = at === null ? told('sources.no-load') : told('sources.no-load-at', { at });
  return problem('no-finding', { id: at, field: null }, { message, cure: told('sources.no-load-remedy') });
}
