import { beforeAll, describe, expect, test } from 'vitest';
import { logGammaDraw, seededRandom } from '../../src/algorithms/index.ts';
import { startChain } from '../../src/sources/draws/chain/chain.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { poseQuestion } from '../../src/sources/question/question.ts';
import { soundFindings } from '../support/ask.ts';
import { drawTruth, type Look, logEntered, logSum, type SimulatedYard, simulateFindings } from '../support/simulate.ts';
import type { RawFinding } from '../support/slow-sources.ts';
import { type YardWords, yard } from '../support/yard.ts';

/*
 * Simulation-based calibration (S. Talts, M. Betancourt, D. Simpson, A. Vehtari, A. Gelman, Validating Bayesian inference
 * algorithms with simulation-based calibration, 2018): truth is drawn from the prior, findings from the truth, and the
 * rank of the true log share of a zone among draws of its posterior must be uniform. Ranks within ties (shares that
 * differ by no more than rounding) are drawn from the seed.
 */
const SIMULATIONS = 64;
/** Draws kept of each posterior, thinned so as to be nearly independent; ranks go from 0 to this. */
const KEPT = 79;
const FIRST_SWEEPS = 100;
const THIN = 8;
const BINS = 8;
const ZONE = 'Z1';
/** 7 degrees of freedom, level 0.001 (any table of χ²). */
const CHI_SQUARED_LIMIT = 24.32;
/** Counts of 64 that a coverage of one half, or nine tenths, leaves with a chance of less than 0.0005 on either side. */
const COVERAGE = { half: [19, 45], nineTenths: [49, 64] };

interface Yard {
  name: string;
  words: YardWords;
  simulated: SimulatedYard;
  looks: Look[];
}

const rough = 1.6;
const zone = (oilLitresPerYear: number, drainsTo: string) => ({ oilLitresPerYear, yieldFactor: rough, drainsTo });

/** Delivery is written by hand: MH-1 keeps 0.3 of what passes, MH-2 one half. */
const LINE: Yard = {
  name: 'a line of manholes, the size of a release not known, looks over two windows',
  words: {
    zones: { Z1: zone(3, 'MH-1'), Z2: zone(2, 'MH-2'), Z3: zone(1.5, 'MH-3') },
    structures: {
      'MH-1': { kind: 'manhole', holds: 0.3 },
      'MH-2': { kind: 'manhole', holds: 0.5 },
      'MH-3': { kind: 'manhole' },
      'SEP-1': { kind: 'separator', holds: 0.8 },
    },
    links: {
      P1: { from: 'MH-1', to: 'MH-2' },
      P2: { from: 'MH-2', to: 'MH-3' },
      P3: { from: 'MH-3', to: 'SEP-1' },
    },
  },
  simulated: {
    zones: [
      { id: 'Z1', litresPerYear: 3, yieldFactor: rough, delivered: { 'MH-1': 1, 'MH-2': 0.7, 'SEP-1': 0.35 } },
      { id: 'Z2', litresPerYear: 2, yieldFactor: rough, delivered: { 'MH-2': 1, 'SEP-1': 0.5 } },
      { id: 'Z3', litresPerYear: 1.5, yieldFactor: rough, delivered: { 'SEP-1': 1 } },
    ],
  },
  looks: [
    { id: 'F1', at: 'SEP-1', from: 0, to: 2, holds: 0.8, factor: 1.3 },
    { id: 'F2', at: 'MH-1', from: 0, to: 1, misread: 0.1, noticeLitres: 0.3 },
    { id: 'F3', at: 'MH-2', from: 1, to: 2, misread: 0.05, noticeLitres: 0.5 },
  ],
};

const STAR: Yard = {
  name: 'a star, the size of a release known, two amounts and a look',
  words: {
    zones: { Z1: zone(1, 'MH-1'), Z2: zone(2, 'MH-1'), Z3: zone(2, 'CB-1'), Z4: zone(4, 'CB-1') },
    structures: {
      'MH-1': { kind: 'manhole' },
      'CB-1': { kind: 'catch-basin', holds: 0.2 },
      'SEP-1': { kind: 'separator', holds: 0.9 },
    },
    links: { P1: { from: 'MH-1', to: 'SEP-1' }, P2: { from: 'CB-1', to: 'SEP-1' } },
  },
  simulated: {
    releaseLitres: 3,
    zones: [
      { id: 'Z1', litresPerYear: 1, yieldFactor: rough, delivered: { 'MH-1': 1, 'SEP-1': 1 } },
      { id: 'Z2', litresPerYear: 2, yieldFactor: rough, delivered: { 'MH-1': 1, 'SEP-1': 1 } },
      { id: 'Z3', litresPerYear: 2, yieldFactor: rough, delivered: { 'CB-1': 1, 'SEP-1': 0.8 } },
      { id: 'Z4', litresPerYear: 4, yieldFactor: rough, delivered: { 'CB-1': 1, 'SEP-1': 0.8 } },
    ],
  },
  looks: [
    { id: 'F1', at: 'SEP-1', from: 0, to: 1, holds: 0.9, factor: 1.2 },
    { id: 'F2', at: 'CB-1', from: 0, to: 1, holds: 0.2, factor: 1.8 },
    { id: 'F3', at: 'MH-1', from: 0, to: 1, misread: 0.1, noticeLitres: 0.4 },
  ],
};

const START_MS = Date.UTC(2020, 0, 1);
const dateAfter = (years: number) => new Date(START_MS + years * 365.25 * 86_400_000).toISOString();

/** The rank of the true log share among the kept draws of one chain. */
function rankOf({ words, simulated, looks }: Yard, seed: number): number {
  const random = seededRandom(seed);
  const truth = drawTruth(simulated, looks, random);
  const findings = simulateFindings(simulated, { truth, looks }, random).map(({ from, to, ...finding }): RawFinding => {
    return { ...finding, since: dateAfter(from), seenAt: dateAfter(to) };
  });
  const entered = logEntered(simulated, truth, looks[0]);
  const trueShare = entered[0] - logSum(entered);
  const drainage = yard(words);
  const { releaseLitres } = simulated;
  const options = { at: 'SEP-1', releaseLitres, unmappedShare: 0, seed };
  const question = poseQuestion(drainage, soundFindings(drainage, findings), options);
  const { evidence, target } = question;
  const source = evidence.sources.findIndex((each) => each.zone?.id === ZONE);
  const prior = releaseLitres === undefined ? { median: 2, factor: 4 } : { litres: releaseLitres };
  const model = deliveryModel(drainage, evidence);
  const chain = startChain({ evidence, model, release: prior }, seededRandom(seed));
  for (let sweep = 0; sweep < FIRST_SWEEPS; sweep++) chain.sweep();
  let [under, ties] = [0, 0];
  for (let kept = 0; kept < KEPT; kept++) {
    for (let sweep = 0; sweep < THIN; sweep++) chain.sweep();
    let [own, all] = [0, 0];
    evidence.cells.forEach((cell, at) => {
      if (!cell.seenBy.includes(target)) return;
      const part = chain.state.delivery.delivered[target][cell.source] * chain.state.litres[at];
      all += part;
      if (cell.source === source) own += part;
    });
    const off = Math.log(own / all) - trueShare;
    if (Math.abs(off) < 1e-12) ties++;
    else if (off < 0) under++;
  }
  return under + Math.floor(random.uniform() * (ties + 1));
}

/** Distance of a histogram of ranks from even, as χ². */
function chiSquared(ranks: readonly number[]): number {
  const expected = ranks.length / BINS;
  const counts = new Array<number>(BINS).fill(0);
  for (const rank of ranks) counts[Math.floor((rank * BINS) / (KEPT + 1))]++;
  return counts.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0);
}

/** How many ranks lie in the middle part of all. */
const covered = (ranks: readonly number[], part: number) =>
  ranks.filter((rank) => Math.abs((rank + 0.5) / (KEPT + 1) - 0.5) < part / 2).length;

describe.each([LINE, STAR])('$name', (example) => {
  let ranks: number[] = [];
  beforeAll(() => {
    ranks = Array.from({ length: SIMULATIONS }, (_, at) => rankOf(example, 7000 + at));
  });

  test('ranks of the true log share are even', () => expect(chiSquared(ranks)).toBeLessThan(CHI_SQUARED_LIMIT));

  test('the middle half of the draws holds the truth half of the time, the middle nine tenths nine times in ten', () => {
    const [half, nineTenths] = [covered(ranks, 0.5), covered(ranks, 0.9)];
    expect(half).toBeGreaterThanOrEqual(COVERAGE.half[0]);
    expect(half).toBeLessThanOrEqual(COVERAGE.half[1]);
    expect(nineTenths).toBeGreaterThanOrEqual(COVERAGE.nineTenths[0]);
    expect(nineTenths).toBeLessThanOrEqual(COVERAGE.nineTenths[1]);
  });
});

describe('the measure', () => {
  const random = seededRandom(5);
  const ranksOf = (make: () => number) =>
    Array.from({ length: SIMULATIONS }, () => Math.min(KEPT, Math.floor(make() * (KEPT + 1))));

  test('passes even ranks', () => expect(chiSquared(ranksOf(() => random.uniform()))).toBeLessThan(CHI_SQUARED_LIMIT));

  test('catches ranks that crowd to the ends (intervals too narrow), to the middle (too wide) and to one side', () => {
    const narrow = ranksOf(() => Math.sin((random.uniform() * Math.PI) / 2) ** 4);
    const wide = ranksOf(() => (random.uniform() + random.uniform() + random.uniform()) / 3);
    const aside = ranksOf(() => random.uniform() ** 2);
    for (const ranks of [narrow, wide, aside]) expect(chiSquared(ranks)).toBeGreaterThan(CHI_SQUARED_LIMIT);
    expect(covered(wide, 0.5)).toBeGreaterThan(COVERAGE.half[1]);
    expect(covered(narrow, 0.9)).toBeLessThan(COVERAGE.nineTenths[0]);
  });

  test('the gamma draw of the simulator has the mean and the variance of a gamma', () => {
    for (const shape of [0.05, 0.7, 4]) {
      const draws = Array.from({ length: 20_000 }, () => Math.exp(logGammaDraw(random, shape)));
      const mean = draws.reduce((sum, value) => sum + value, 0) / draws.length;
      const variance = draws.reduce((sum, value) => sum + (value - mean) ** 2, 0) / draws.length;
      expect(Math.abs(mean - shape)).toBeLessThan(4.5 * Math.sqrt(shape / draws.length));
      expect(Math.abs(variance / shape - 1)).toBeLessThan(0.25);
    }
  });
});
