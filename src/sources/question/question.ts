import type { Drainage } from '../../drainage/index.ts';
import { type Position, type Problem, walkerPosition } from '../../site-map/index.ts';
import { type Finding, MS_PER_YEAR } from '../findings/findings.ts';
import { type Evidence, layOut } from './evidence.ts';
import { type Counted, countedOf, isMeasured, isOily, type Observation } from './observation.ts';

/**
 * What a person may set; everything has a default. Ids and the place of `from` are checked by `findSources`; numbers are taken as
 * they are, so whoever reads them from outside checks their ranges.
 */
export interface SourcesOptions {
  /** The structure whose oil is asked about; left out, where the largest amount was found, else the first oil. */
  at?: string;
  /** θ, the litres of one typical release, above 0; left out, the site's, else inferred. A large θ means few, large releases. */
  releaseLitres?: number;
  /** Yield of what is not on the map, as a part of the rest, 0 or more; left out, the site's, else 0.02. 0: nothing is missing. */
  unmappedShare?: number;
  /** Seed of the draws, a whole number; left out, 1. The same question with the same seed has the same answer. */
  seed?: number;
  /** Where whoever lifts the lids stands: an id of a structure, kit, crew post or zone, or [longitude, latitude]. */
  from?: string | Position;
  /** Earlier findings, which teach what zones yield; where oil is asked about is decided without them. */
  history?: readonly Finding[];
}

/** The question, ready for an engine. */
export interface Question {
  /** The structure whose oil is asked about; null when nothing oily was found: then all oil of the yard. */
  at: string | null;
  evidence: Evidence;
  /** The look, among the evidence's findings, in whose window the shares are taken. */
  target: number;
  /** null: inferred. */
  releaseLitres: number | null;
  /** Where the walker stands, [longitude, latitude]; null: not known, and lids are ranked without the walk. */
  from: Position | null;
  seed: number;
  /** Oil was found there, earlier findings aside. */
  isOily: boolean;
  /** Findings that cannot be weighed. */
  notes: Problem[];
}

/**
 * θ in litres for someone who knows that it was one spill: so large, against what a yard releases, that one zone must be all of it.
 * With θ large the shapes μT/θ are far below 1, and a Dirichlet of such shapes has nearly all its weight where one share is nearly 1;
 * with equal delivery the chance of each to be that one is then about in proportion to its yield.
 */
export const ONE_SPILL_LITRES = 500;

const DEFAULT_UNMAPPED_SHARE = 0.02;

/** The structure with the largest amount, else the first with oil; null without either. */
function oiliest(findings: readonly Counted[], isStructure: (id: string) => boolean): string | null {
  const here = findings.filter(({ at }) => at !== null && isStructure(at));
  const amounts = here.filter(isMeasured).sort((a, b) => b.litres - a.litres);
  return (amounts[0] ?? here.find(isOily))?.at ?? null;
}

/**
 * Puts the question together. Findings and options have been checked before. O(findings × (edges + zones × findings)).
 *
 * Shares are taken in the window of the latest finding at the point. Where there is none (a point that was named and not
 * looked at, or no oil at all), a look that saw nothing is added: its likelihood is 1 whatever happened, so it gives the
 * shares a window without being evidence. Earlier findings take part in the evidence and never in the choice of the point.
 */
export function poseQuestion(drainage: Drainage, findings: readonly Finding[], options: SourcesOptions): Question {
  const { map } = drainage;
  const structures = new Set(map.structures.map(({ id }) => id));
  const { counted, notes } = countedOf(findings);
  const history = countedOf(options.history ?? []);
  const at = options.at ?? oiliest(counted, (id) => structures.has(id));
  const unmappedShare = options.unmappedShare ?? map.site.odds?.unmappedShare ?? DEFAULT_UNMAPPED_SHARE;
  const looks: Observation[] = [...counted];
  let target = latestAt(counted, at);
  if (target < 0) target = looks.push(blindLook(counted, at)) - 1;
  looks.push(...history.counted);
  return {
    at,
    evidence: layOut(drainage, looks, unmappedShare),
    target,
    releaseLitres: options.releaseLitres ?? map.site.odds?.releaseLitres ?? null,
    from: typeof options.from === 'string' ? walkerPosition(map, options.from) : (options.from ?? null),
    seed: options.seed ?? 1,
    isOily: counted.some((each) => each.at === at && isOily(each)),
    notes: [...notes, ...history.notes],
  };
}

/** The latest finding at a structure, of several at one time one that found oil; -1 without one. */
function latestAt(findings: readonly Counted[], at: string | null): number {
  const rank = (each: Counted) => [each.seenAtMs, Number(isOily(each))];
  return findings.reduce((best, finding, index) => {
    if (finding.at !== at || best < 0) return finding.at === at ? index : best;
    const [[time, oily], [bestTime, bestOily]] = [rank(finding), rank(findings[best])];
    return time > bestTime || (time === bestTime && oily > bestOily) ? index : best;
  }, -1);
}

/** A look that saw nothing, to take shares where or when nobody looked: in the window of the latest finding, else one year. */
function blindLook(findings: readonly Counted[], at: string | null): Observation {
  const latest = findings.reduce<Counted | null>(
    (best, each) => (best && best.seenAtMs >= each.seenAtMs ? best : each),
    null,
  );
  const [sinceMs, seenAtMs] = latest ? [latest.sinceMs, latest.seenAtMs] : [0, MS_PER_YEAR];
  const years = (seenAtMs - sinceMs) / MS_PER_YEAR;
  return { id: '', at, sinceMs, seenAtMs, years, seen: 'unseen', source: {} };
}
