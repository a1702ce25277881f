import { logGammaDraw, type Random } from '../../src/algorithms/index.ts';

/*
 * A yard's releases and what is then found, drawn as docs/method.md says they come about. It shares no code with
 * src/sources but the gamma draw.
 */

/** A zone, or anything else that releases oil. */
export interface SimulatedZone {
  id: string;
  litresPerYear: number;
  /** The yield is log-normal with this factor of its own; 1 = known. */
  yieldFactor?: number;
  /** Part of its oil that enters each structure, by structure id. What is not named gets nothing. */
  delivered: Record<string, number>;
}

export interface SimulatedYard {
  zones: SimulatedZone[];
  /** Litres of a typical release; left out: log-normal with median 2 L and factor 4. */
  releaseLitres?: number;
}

/** What was looked at, when, and how; times in years from the start. */
export interface Look {
  id: string;
  at: string;
  from: number;
  to: number;
  /** What the structure holds: an amount is measured; left out: somebody looks and says clean or oil. */
  holds?: number;
  factor?: number;
  noticeLitres?: number;
  /** Chance that what is said is wrong, whichever is said. */
  misread?: number;
}

/** What really happened. */
export interface Truth {
  releaseLitres: number;
  litresPerYear: number[];
  /** ln litres that each zone released in each window between cuts: by window, then by zone. */
  logLitres: number[][];
  /** Times between which the windows lie. */
  cuts: number[];
}

export type SimulatedFinding = { id: string; at: string; from: number; to: number } & (
  | { seen: 'clean' | 'oil'; misread: number; noticeLitres: number }
  | { amount: { litres: number; factor: number } }
);

/** Draws θ, yields and what every zone released in every window that the looks cut. */
export function drawTruth({ zones, releaseLitres }: SimulatedYard, looks: readonly Look[], random: Random): Truth {
  const cuts = [...new Set(looks.flatMap(({ from, to }) => [from, to]))].sort((a, b) => a - b);
  const theta = releaseLitres ?? 2 * 4 ** random.normal();
  const litresPerYear = zones.map((zone) => zone.litresPerYear * (zone.yieldFactor ?? 1) ** random.normal());
  const logLitres = cuts
    .slice(1)
    .map((end, at) =>
      litresPerYear.map(
        (yearly) => Math.log(theta) + logGammaDraw(random, Math.max(1e-12, (yearly * (end - cuts[at])) / theta)),
      ),
    );
  return { releaseLitres: theta, litresPerYear, logLitres, cuts };
}

/** ln litres of each zone that entered the place of a look in its window. */
export function logEntered({ zones }: SimulatedYard, { logLitres, cuts }: Truth, { at, from, to }: Look): number[] {
  return zones.map(({ delivered }, zone) => {
    const parts = logLitres.flatMap((each, window) =>
      from <= cuts[window] && cuts[window + 1] <= to ? [each[zone] + Math.log(delivered[at] ?? 0)] : [],
    );
    return logSum(parts);
  });
}

/** ln of a sum of exponentials, −∞ of nothing. */
export function logSum(logs: readonly number[]): number {
  const top = Math.max(...logs);
  return top === Number.NEGATIVE_INFINITY
    ? top
    : top + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - top), 0));
}

/**
 * What the looks find. An amount is log-normal around what is held; a look says oil with chance 1 − exp(−v/v0), and says
 * the opposite of that with chance `misread`.
 */
export function simulateFindings(
  yard: SimulatedYard,
  { truth, looks }: { truth: Truth; looks: readonly Look[] },
  random: Random,
): SimulatedFinding[] {
  return looks.map((look) => {
    const { id, at, from, to, holds, factor = 1.5, noticeLitres = 0.1, misread = 0.05 } = look;
    const entered = Math.exp(logSum(logEntered(yard, truth, look)));
    if (holds !== undefined) {
      return { id, at, from, to, amount: { litres: holds * entered * factor ** random.normal(), factor } };
    }
    const isNoticed = random.uniform() < -Math.expm1(-entered / noticeLitres);
    const isWrong = random.uniform() < misread;
    return { id, at, from, to, seen: isNoticed !== isWrong ? 'oil' : 'clean', misread, noticeLitres };
  });
}
