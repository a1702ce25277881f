import type { Drainage } from '../drainage/index.ts';
import {
  idCure,
  lengthOf,
  type Position,
  type Problem,
  problem,
  type SiteMap,
  show,
  standingPlace,
} from '../site-map/index.ts';
import { type Evidence, layOut } from './evidence.ts';
import { type Finding, MS_PER_YEAR } from './findings.ts';

/** What a person may set; everything has a default. */
export interface SourcesOptions {
  /** The structure whose oil is asked about; left out, where the largest amount was found, else the first oil. */
  at?: string;
  /** θ, the litres of one typical release; left out, the site's, else inferred. */
  releaseLitres?: number;
  /** Yield of what is not on the map, as a part of the rest; left out, the site's, else 0.02. */
  unmappedShare?: number;
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
}

/** θ for someone who knows that it was one spill: so large, against what a yard releases, that one zone must be all of it. */
export const ONE_SPILL_LITRES = 500;

const DEFAULT_UNMAPPED_SHARE = 0.02;

/** The structure with the largest amount, else the first with oil; null without either. */
function oiliest(findings: readonly Finding[], isStructure: (id: string) => boolean): string | null {
  const here = findings.filter(({ at }) => at !== null && isStructure(at));
  const amounts = here.filter(({ seen }) => seen === 'amount').sort((a, b) => b.litres - a.litres);
  return (amounts[0] ?? here.find(({ seen }) => seen === 'oil'))?.at ?? null;
}

/** Puts the question together. Findings and options have been checked before. O(findings × (edges + zones × findings)). */
export function poseQuestion(drainage: Drainage, findings: readonly Finding[], options: SourcesOptions): Question {
  const { map } = drainage;
  const structures = new Set(map.structures.map(({ id }) => id));
  const at = options.at ?? oiliest(findings, (id) => structures.has(id));
  const unmappedShare = options.unmappedShare ?? map.site.odds?.unmappedShare ?? DEFAULT_UNMAPPED_SHARE;
  const looks = [...findings];
  let target = latestAt(findings, at);
  if (target < 0) target = looks.push(blindLook(findings, at)) - 1;
  looks.push(...(options.history ?? []));
  return {
    at,
    evidence: layOut(drainage, looks, unmappedShare),
    target,
    releaseLitres: options.releaseLitres ?? map.site.odds?.releaseLitres ?? null,
    from: typeof options.from === 'string' ? standingPlace(map, options.from) : (options.from ?? null),
    seed: options.seed ?? 1,
  };
}

/** The latest finding at a structure, of several at one time one that found oil; -1 without one. */
function latestAt(findings: readonly Finding[], at: string | null): number {
  const rank = ({ seenAtMs, seen }: Finding) => [seenAtMs, seen === 'clean' ? 0 : 1];
  return findings.reduce((best, finding, index) => {
    if (finding.at !== at || best < 0) return finding.at === at ? index : best;
    const [[time, oily], [bestTime, bestOily]] = [rank(finding), rank(findings[best])];
    return time > bestTime || (time === bestTime && oily > bestOily) ? index : best;
  }, -1);
}

/** A look that saw nothing, to take shares where or when nobody looked: in the window of the latest finding, else one year. */
function blindLook(findings: readonly Finding[], at: string | null): Finding {
  const latest = findings.reduce<Finding | null>(
    (best, each) => (best && best.seenAtMs >= each.seenAtMs ? best : each),
    null,
  );
  const [sinceMs, seenAtMs] = latest ? [latest.sinceMs, latest.seenAtMs] : [0, MS_PER_YEAR];
  const source = { id: '', at: at ?? '', since: '', seenAt: '' };
  const years = (seenAtMs - sinceMs) / MS_PER_YEAR;
  const looked = { litres: 0, factor: 1, noticeLitres: 1, misread: 0 };
  return { id: '', at, sinceMs, seenAtMs, years, seen: 'unseen', ...looked, source };
}

/** Nobody walks to a lid from farther away, in metres: the place was mistaken. */
const FARTHEST_START_M = 10_000;

/** What is wrong with where the walker is said to stand. O(structures). */
export function checkStart(map: SiteMap, from: string | Position): Problem[] {
  if (typeof from === 'string') {
    if (standingPlace(map, from)) return [];
    const { zones, links, others } = map;
    const isThere = [...zones, ...links, ...others].some(({ id }) => id === from);
    const message = isThere
      ? `${show(from)} is on the map, but is no place where one stands`
      : `nothing on the map has the id ${show(from)}`;
    const allowed = 'the id of a structure, kit, crew post or zone, or longitude and latitude';
    const stands = [...map.structures, ...zones, ...others].map(({ id }) => id);
    const cure = idCure(from, stands, 'name a structure, a kit, a crew post or a zone of the map');
    return [problem('unknown-id', { id: from, field: '--from' }, { message, found: show(from), allowed, cure })];
  }
  const nearest = Math.min(...map.structures.map(({ position }) => lengthOf([from, position])));
  if (map.structures.length === 0 || nearest <= FARTHEST_START_M) return [];
  const found = `${from[0]},${from[1]}`;
  return [
    problem(
      'bad-field',
      { id: found, field: '--from' },
      {
        message: `it is ${Math.round(nearest / 1000)} km from the nearest structure of this map`,
        found,
        allowed: `a place within ${FARTHEST_START_M / 1000} km`,
        cure: 'write longitude first, then latitude, of a place in the yard',
      },
    ),
  ];
}
