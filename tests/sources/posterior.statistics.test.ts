import { describe, expect, test } from 'vitest';
import { gammaCdf, mixingOf, type Random, seededRandom } from '../../src/algorithms/index.ts';
import type { Drainage } from '../../src/drainage/index.ts';
import { drawPosterior } from '../../src/sources/draws/draws.ts';
import type { Share, SourcesOptions } from '../../src/sources/index.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { poseQuestion } from '../../src/sources/question/question.ts';
import { askOften, type SeededShares, soundFindings } from '../support/ask.ts';
import { type RawFinding, type SlowAnswer, slowSources } from '../support/slow-sources.ts';
import { litres, look, SECOND_YEAR, star, TWO_YEARS, YEAR } from '../support/star.ts';
import { type YardWords, yard } from '../support/yard.ts';

/*
 * The posterior held to things outside it: closed forms, quadrature, a slow twin (tests/support/slow-sources.ts), and
 * questions whose answers must move in a known way. Seeds are fixed. Where two answers carry Monte-Carlo error, they must
 * agree within 4.5 combined standard errors: once in 150,000 by chance.
 */
const ERRORS = 4.5;

/** Draws of the litres that the only zone released, with how many effective draws they are. */
function releasedBy(drainage: Drainage, findings: RawFinding[], options: SourcesOptions) {
  const question = poseQuestion(drainage, soundFindings(drainage, findings), options);
  const draws = drawPosterior(question, deliveryModel(drainage, question.evidence));
  const { count } = draws;
  // The zone comes first; what is not on the map comes second and releases nothing here.
  const released = Float64Array.from({ length: count }, (_, draw) => draws.released[2 * draw]);
  const chains = [0, 1, 2, 3].map((chain) => released.subarray((chain * count) / 4, ((chain + 1) * count) / 4));
  return { released, effectiveCount: mixingOf(chains).effectiveCount };
}

describe('a clean look alone, never misread, is exponential tilting', () => {
  test.each([
    { yearly: 3, theta: 2, notice: 0.5 },
    { yearly: 0.2, theta: 4, notice: 1.5 },
    { yearly: 8, theta: 0.5, notice: 0.1 },
  ])('$yearly L a year, θ = $theta L, v0 = $notice L: what was released is Gamma(μT/θ, 1/(1/θ + d/v0))', (given) => {
    const { yearly, theta, notice } = given;
    const drainage = yard({
      zones: { Z1: { oilLitresPerYear: yearly, drainsTo: 'CB-1' } },
      structures: { 'CB-1': { kind: 'catch-basin', holds: 0.4 }, 'MH-1': { kind: 'manhole' } },
      links: { P1: { from: 'CB-1', to: 'MH-1' } },
    });
    const clean = look('F1', 'MH-1', { seen: 'clean', misread: 0, noticeLitres: notice });
    const { released, effectiveCount } = releasedBy(drainage, [clean], { releaseLitres: theta, unmappedShare: 0 });
    const [shape, scale] = [yearly / theta, 1 / (1 / theta + 0.6 / notice)];
    expect(effectiveCount).toBeGreaterThan(1000);
    const mean = released.reduce((sum, value) => sum + value, 0) / released.length;
    const meanError = (scale * Math.sqrt(shape)) / Math.sqrt(effectiveCount);
    expect(Math.abs(mean - shape * scale)).toBeLessThan(ERRORS * meanError);
    const sorted = released.slice().sort();
    for (const part of [0.05, 0.25, 0.5, 0.75, 0.95]) {
      const quantile = sorted[Math.floor(part * sorted.length)];
      const chance = gammaCdf(shape, quantile / scale);
      expect(Math.abs(chance - part)).toBeLessThan(ERRORS * Math.sqrt((part * (1 - part)) / effectiveCount));
    }
  });
});

/**
 * Two gammas of one scale in a window, an amount of their sum and a clean look at the first: the share of the first by the
 * midpoint rule over its split (p = sin² tames the ends) and over ln of the sum.
 */
function quadrature(given: {
  shapes: [number, number];
  theta: number;
  held: [number, number];
  notice: number;
  misread: number;
}) {
  const { shapes, theta, held, notice, misread } = given;
  const SPLITS = 2000;
  const SIZES = 400;
  const cells: { share: number; weight: number }[] = [];
  for (let at = 0; at < SPLITS; at++) {
    const angle = ((at + 0.5) / SPLITS) * (Math.PI / 2);
    const share = Math.sin(angle) ** 2;
    const split = Math.sin(angle) ** (2 * shapes[0] - 1) * Math.cos(angle) ** (2 * shapes[1] - 1);
    let weight = 0;
    for (let size = 0; size < SIZES; size++) {
      const z = -8 + (16 * (size + 0.5)) / SIZES;
      const sum = (held[0] / 0.8) * held[1] ** z;
      const nothing = Math.exp((-share * sum) / notice);
      const said = (1 - misread) * nothing + misread * (1 - nothing);
      weight += Math.exp((shapes[0] + shapes[1]) * Math.log(sum) - sum / theta - 0.5 * z * z) * said;
    }
    cells.push({ share, weight: weight * split });
  }
  const total = cells.reduce((sum, { weight }) => sum + weight, 0);
  const mean = (of: (share: number) => number) =>
    cells.reduce((sum, { share, weight }) => sum + of(share) * weight, 0) / total;
  const below = (limit: number) => mean((share) => (share < limit ? 1 : 0));
  const average = mean((share) => share);
  return { mean: average, sd: Math.sqrt(mean((share) => (share - average) ** 2)), below, main: 1 - below(0.5) };
}

const SEEDS = 3;

/** Mean, chance of being main, and bounds (by the chance that lies under them) within Monte-Carlo error. */
function expectSame(
  { perSeed, effectiveDraws }: SeededShares,
  theirs: { mean: number; sd: number; main: number; below(share: number): number },
  { theirDraws, name }: { theirDraws: number; name: string },
) {
  const shares = perSeed.get(name) as Share[];
  const mean = (of: (share: Share) => number) => shares.reduce((sum, share) => sum + of(share), 0) / shares.length;
  const error = (sd: number) => ERRORS * sd * Math.sqrt(1 / effectiveDraws + 1 / theirDraws) + 0.001;
  expect(Math.abs(mean(({ share }) => share) - theirs.mean), `${name} share`).toBeLessThan(error(theirs.sd));
  expect(Math.abs(mean(({ main }) => main) - theirs.main), `${name} main`).toBeLessThan(
    error(Math.sqrt(theirs.main * (1 - theirs.main))),
  );
  const tail = error(Math.sqrt(0.05 * 0.95));
  expect(Math.abs(mean(({ low }) => theirs.below(low)) - 0.05), `${name} low`).toBeLessThan(tail);
  expect(Math.abs(mean(({ high }) => theirs.below(high)) - 0.95), `${name} high`).toBeLessThan(tail);
}

describe('an amount and a clean look, two zones of equal delivery', () => {
  test.each([
    { misread: 0, notice: 1, yearly: [3, 2] },
    { misread: 0.05, notice: 0.3, yearly: [3, 2] },
    { misread: 0.3, notice: 0.3, yearly: [1, 1.4] },
  ])('the share is the quadrature over the split: misread $misread, v0 = $notice L, yields $yearly', (given) => {
    const { misread, notice, yearly } = given;
    const findings = [
      look('F1', 'SEP-1', litres(4, 1.3)),
      look('F2', 'MH-1', { seen: 'clean', misread, noticeLitres: notice }),
    ];
    const ours = askOften(yard(star(yearly)), findings, { releaseLitres: 2, unmappedShare: 0, seeds: SEEDS });
    expect(ours.effectiveDraws).toBeGreaterThan(1500);
    const shapes: [number, number] = [yearly[0] / 2, yearly[1] / 2];
    const theirs = quadrature({ shapes, theta: 2, held: [4, 1.3], notice, misread });
    expectSame(ours, theirs, { theirDraws: 1e9, name: 'Z1' });
  });
});

function expectSlowTwin(ours: SeededShares, slow: SlowAnswer) {
  expect(slow.effectiveDraws, 'the slow twin’s own draws').toBeGreaterThan(2000);
  expect(ours.effectiveDraws, 'our draws').toBeGreaterThan(800);
  expect([...slow.shares.keys()]).toContain('unmapped');
  for (const [name, share] of ours.shares) {
    const theirs = slow.shares.get(name);
    if (!theirs) throw new Error(`the slow twin knows no ${name}`);
    // A zone that cannot have sent the oil (or not this fluid) has no bounds to compare.
    if (theirs.mean === 0) expect(share.share, name).toBe(0);
    else expectSame(ours, theirs, { theirDraws: slow.effectiveDraws, name });
  }
}

describe('the slow twin', () => {
  test('three zones and three windows: an amount over two years, a lid clean after one, oil at another since then', () => {
    const words = star([3, 2, 1]);
    const findings = [
      look('F1', 'SEP-1', { ...TWO_YEARS, ...litres(6) }),
      look('F2', 'MH-1', { seen: 'clean', noticeLitres: 0.3 }),
      look('F3', 'MH-2', { ...SECOND_YEAR, seen: 'oil', noticeLitres: 0.5 }),
    ];
    const options = { releaseLitres: 2, unmappedShare: 0.05 };
    const slow = slowSources(words, findings, {
      ...options,
      at: 'SEP-1',
      enough: 50_000,
      mostDraws: 1_000_000,
      seed: 11,
    });
    expectSlowTwin(askOften(yard(words), findings, { ...options, seeds: SEEDS }), slow);
  });

  test.each([1, 2, 3, 4, 5, 7])('random small yard %i', (seed) => {
    const { words, findings, options } = randomQuestion(seed);
    const slow = slowSources(words, findings, { ...options, at: 'SEP-1', enough: 3000, mostDraws: 400_000, seed });
    expectSlowTwin(askOften(yard(words), findings, { ...options, seeds: SEEDS }), slow);
  });

  test('the twin itself is right where the answer is known: Dirichlet shares, and one zone against another', () => {
    const findings = [look('F1', 'SEP-1', litres(5))];
    const { shares } = slowSources(star([4, 2]), findings, {
      at: 'SEP-1',
      releaseLitres: 2,
      unmappedShare: 0,
      enough: 20_000,
      mostDraws: 200_000,
      seed: 3,
    });
    expect(shares.get('Z1')?.mean).toBeCloseTo(2 / 3, 2);
    // Beta(2, 1): the chance of less than s is s².
    expect(shares.get('Z1')?.below(0.5)).toBeCloseTo(0.25, 1);
    expect(shares.get('Z1')?.main).toBeCloseTo(0.75, 1);
  });
});

const pick = <T>(random: Random, from: readonly T[]): T => from[Math.floor(random.uniform() * from.length)];

/** A yard of three zones with a branch, and four findings of mixed kinds, the same for the same seed. */
function randomQuestion(seed: number): {
  words: YardWords;
  findings: RawFinding[];
  options: { releaseLitres?: number; unmappedShare: number };
} {
  const random = seededRandom(9000 + seed);
  const between = (low: number, high: number) => low + (high - low) * random.uniform();
  const zone = (drainsTo: unknown) => ({
    drainsTo,
    // Known, known within a factor of its own, or by area with the site's factor.
    ...pick<object>(random, [
      { oilLitresPerYear: between(1, 6) },
      { oilLitresPerYear: between(1, 6), yieldFactor: between(1.2, 2.5) },
      { areaM2: between(600, 4000) },
    ]),
    ...(random.uniform() < 0.5
      ? { fluids: [{ fluid: 'diesel', share: between(0.2, 0.6) }, { fluid: 'motor-oil' }] }
      : {}),
    ...(random.uniform() < 0.3 ? { dryFlow: true } : {}),
  });
  const holds = () => (random.uniform() < 0.5 ? {} : { holds: between(0.05, 0.6) });
  const part = between(0.2, 0.8);
  const words: YardWords = {
    site: { odds: { yieldFactor: between(1.3, 2.5) } },
    zones: {
      Z1: zone('CB-1'),
      Z2: zone([
        { to: 'CB-2', share: part },
        { to: 'MH-1', share: 1 - part },
      ]),
      Z3: zone('POND-1'),
    },
    structures: {
      'CB-1': { kind: 'catch-basin', ...holds() },
      'CB-2': { kind: 'catch-basin', ...holds() },
      'POND-1': { kind: 'pond', ...holds() },
      'MH-1': { kind: 'manhole' },
      'SEP-1': { kind: 'separator', ...holds() },
      'OUT-1': { kind: 'outfall' },
    },
    links: {
      P1: { from: 'CB-1', to: 'MH-1' },
      P2: { from: 'CB-2', to: 'MH-1', share: between(0.5, 0.9) },
      P3: { from: 'CB-2', to: 'OUT-1' },
      P4: { from: 'MH-1', to: 'SEP-1' },
      P5: { from: 'POND-1', to: 'SEP-1' },
    },
  };
  const window = () => pick(random, [YEAR, TWO_YEARS, SECOND_YEAR]);
  const seen = (): Partial<RawFinding> => ({
    seen: pick(random, ['clean', 'oil']),
    noticeLitres: between(0.1, 1),
    ...(random.uniform() < 0.4 ? { misread: between(0, 0.2) } : {}),
  });
  const maybe = (chance: number, more: Partial<RawFinding>) => (random.uniform() < chance ? more : {});
  const findings = [
    look('F1', 'SEP-1', {
      ...window(),
      ...litres(between(1, 5), between(1.2, 1.8)),
      ...maybe(0.3, { fluid: 'diesel' }),
    }),
    look('F2', pick(random, ['CB-1', 'MH-1']), { ...window(), ...seen(), ...maybe(0.4, { rainMm: between(1, 15) }) }),
    look('F3', pick(random, ['Z1', 'Z2', 'Z3']), { ...window(), ...seen() }),
    random.uniform() < 0.5
      ? look('F4', 'POND-1', { ...window(), ...litres(between(0.3, 2), 2) })
      : look('F4', 'CB-2', { ...window(), ...seen(), ...maybe(0.4, { fluid: 'motor-oil' }) }),
  ];
  return {
    words,
    findings,
    options: {
      ...(random.uniform() < 0.5 ? { releaseLitres: between(1, 4) } : {}),
      unmappedShare: 0.05,
    },
  };
}
