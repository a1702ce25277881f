import { type Drainage, oilshed } from '../drainage/index.ts';
import { INLET_KINDS, type Zone } from '../site-map/index.ts';
import type { Finding } from './findings.ts';
import { expectedLitresPerYear, roughnessOf, type YieldRoughness } from './yields.ts';

/** What a person may set; everything has a default. */
export interface SourcesOptions {
  /** The structure whose oil is asked about; left out, where the largest amount was found, else the first oil. */
  at?: string;
  /** θ, the litres of one typical release; left out, the site's, else inferred. */
  releaseLitres?: number;
  /** Yield of what is not on the map, as a part of the rest; left out, the site's, else 0.02. */
  unmappedShare?: number;
  seed?: number;
}

/** Something oil can have come from. */
export interface Source {
  /** null: what is not on the map. */
  zone: Zone | null;
  litresPerYear: number;
  roughness: YieldRoughness;
  /** d with every `holds` at its default. */
  delivered: number;
}

/** The question, ready for an engine: which sources, and the one finding that speaks of their oil. */
export interface Question {
  at: string | null;
  /** The finding at `at`; null when nothing oily was found, and then the shares are the prior's. */
  finding: Finding | null;
  years: number;
  /** null: inferred. */
  releaseLitres: number | null;
  sources: Source[];
  seed: number;
}

export const DEFAULT_UNMAPPED_SHARE = 0.02;
/** Prior of θ where none is given: median 2 L, within ×/÷ 4 two times in three. A guess (design §3). */
export const RELEASE_MEDIAN = 2;
export const RELEASE_FACTOR = 4;

/** The finding that decides where: the largest amount, else the first oil in a structure; null without either. */
export function decidingFinding(
  findings: readonly Finding[],
  at: string | undefined,
  isStructure: (id: string) => boolean,
): Finding | null {
  const here = findings.filter((finding) => isStructure(finding.at) && (at === undefined || finding.at === at));
  const amounts = here.filter(({ seen }) => seen === 'amount').sort((a, b) => b.litres - a.litres);
  return amounts[0] ?? here.find(({ seen }) => seen === 'oil') ?? null;
}

/** Puts the question together. Findings and options have been checked before. O(nodes + edges). */
export function poseQuestion(drainage: Drainage, findings: readonly Finding[], options: SourcesOptions): Question {
  const { map } = drainage;
  const structures = new Set(map.structures.map(({ id }) => id));
  const finding = decidingFinding(findings, options.at, (id) => structures.has(id));
  const at = finding?.at ?? options.at ?? null;
  const reaching = at === null ? map.zones.map((zone) => ({ zone, delivered: 1 })) : oilshed(drainage, at);
  const sources: Source[] = reaching
    .filter(({ delivered }) => delivered > 0)
    .map(({ zone, delivered }) => ({
      zone,
      litresPerYear: expectedLitresPerYear(zone),
      roughness: roughnessOf(map, zone),
      delivered,
    }));
  if (finding) {
    const unmappedShare = options.unmappedShare ?? map.site.odds?.unmappedShare ?? DEFAULT_UNMAPPED_SHARE;
    const litresPerYear = unmappedShare * unmappedScale(drainage, sources);
    sources.push({ zone: null, litresPerYear, roughness: { activity: 0, own: 0 }, delivered: 1 });
  }
  return {
    at,
    finding,
    years: finding?.years ?? 1,
    releaseLitres: options.releaseLitres ?? map.site.odds?.releaseLitres ?? null,
    sources,
    seed: options.seed ?? 1,
  };
}

/** Litres a year of which the unmapped source takes its share: what arrives here, or one inlet's part of the whole yard, whichever is more. */
function unmappedScale({ map }: Drainage, sources: readonly Source[]): number {
  const arriving = sources.reduce((sum, { delivered, litresPerYear }) => sum + delivered * litresPerYear, 0);
  const total = map.zones.reduce((sum, zone) => sum + expectedLitresPerYear(zone), 0);
  const inlets = map.structures.filter(({ kind }) => INLET_KINDS.includes(kind)).length;
  return Math.max(arriving, total / Math.max(1, inlets));
}
