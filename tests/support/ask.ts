import type { Drainage } from '../../src/drainage/index.ts';
import { hasErrors } from '../../src/site-map/index.ts';
import {
  type Finding,
  findSources,
  readFindings,
  type Share,
  type SourcesAnswer,
  type SourcesOptions,
} from '../../src/sources/index.ts';
import type { RawFinding } from './slow-sources.ts';

/** Findings as the program reads them; throws where one is unsound. */
export function soundFindings(drainage: Drainage, findings: readonly RawFinding[]): Finding[] {
  const text = JSON.stringify({ format: 'oilshed-findings', version: 1, findings });
  const reading = readFindings(text, drainage.map);
  if (hasErrors(reading.problems)) throw new Error(JSON.stringify(reading.problems));
  return reading.findings;
}

/** The answer to a question that has one; throws where there is none. */
export function askSources(
  drainage: Drainage,
  findings: readonly RawFinding[],
  options: SourcesOptions = {},
): SourcesAnswer {
  const { answer, problems } = findSources(drainage, soundFindings(drainage, findings), options);
  if (!answer) throw new Error(JSON.stringify(problems));
  return answer;
}

const KEYS = ['share', 'low', 'high', 'main'] as const;

/** Shares by source, `unmapped` among them: the mean over answers by several seeds, and how many effective draws that makes. */
export interface SeededShares {
  shares: Map<string, Share>;
  /** The figures of each seed. */
  perSeed: Map<string, Share[]>;
  effectiveDraws: number;
  /** Standard error of each figure, from the spread between seeds. */
  errors: Map<string, Share>;
}

/** Asks with seeds 1 to `seeds`; each source's figures are the means over them. */
export function askOften(
  drainage: Drainage,
  findings: readonly RawFinding[],
  { seeds, ...options }: SourcesOptions & { seeds: number },
): SeededShares {
  const answers = Array.from({ length: seeds }, (_, at) =>
    askSources(drainage, findings, { ...options, seed: at + 1 }),
  );
  const effectiveDraws = answers.reduce((sum, each) => sum + (each.effectiveDraws ?? Number.POSITIVE_INFINITY), 0);
  const byId = (id: string) =>
    answers.map(({ zones, unmapped }) =>
      id === 'unmapped' ? unmapped : (zones.find((zone) => zone.id === id) as Share),
    );
  const ids = [...answers[0].zones.map(({ id }) => id), 'unmapped'];
  const each = (read: (values: number[]) => number) =>
    new Map(
      ids.map((id) => [
        id,
        Object.fromEntries(KEYS.map((key) => [key, read(byId(id).map((share) => share[key]))])) as unknown as Share,
      ]),
    );
  const perSeed = new Map(ids.map((id) => [id, byId(id)]));
  return { perSeed, shares: each(meanOf), errors: each(standardError), effectiveDraws };
}

const meanOf = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

function standardError(values: readonly number[]): number {
  const mean = meanOf(values);
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return Math.sqrt(squares / (values.length - 1) / values.length);
}
