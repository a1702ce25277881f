import { describe, expect, test } from 'vitest';
import { logGamma, type Random, seededRandom } from '../../src/algorithms/index.ts';
import type { Drainage } from '../../src/drainage/index.ts';
import { chainDraws } from '../../src/sources/draws/chain/chain-draws.ts';
import type { Draws } from '../../src/sources/draws/draw-table.ts';
import { drawPosterior } from '../../src/sources/draws/draws.ts';
import { Proposal } from '../../src/sources/draws/weighing/proposal.ts';
import { weighedDraws } from '../../src/sources/draws/weighing/weighed-draws.ts';
import { Weighing } from '../../src/sources/draws/weighing/weighing.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { groupCells } from '../../src/sources/model/groups.ts';
import { poseQuestion, type SourcesOptions } from '../../src/sources/question/question.ts';
import { soundFindings } from '../support/ask.ts';
import type { RawFinding } from '../support/slow-sources.ts';
import { litres, look, SECOND_YEAR, star, TWO_YEARS } from '../support/star.ts';
import { type YardWords, yard } from '../support/yard.ts';

/*
 * Draws by weighing held to quadrature, to closed forms and to the chains. A wrong weight shows first in its mean, which is
 * the chance of the findings. Errors are Monte-Carlo; 4.5 standard errors are passed once in 150,000 by chance.
 */
const ERRORS = 4.5;

const pose = (drainage: Drainage, findings: readonly RawFinding[], options: SourcesOptions) =>
  poseQuestion(drainage, soundFindings(drainage, findings), options);

/** Two zones of known yield; MH-2 lets 0.3 pass, so a litre of Z2 counts less at the separator. */
const PAIR: YardWords = {
  zones: { Z1: { oilLitresPerYear: 1.6, drainsTo: 'MH-1' }, Z2: { oilLitresPerYear: 3, drainsTo: 'MH-2' } },
  structures: {
    'MH-1': { kind: 'manhole' },
    'MH-2': { kind: 'manhole', holds: 0.7 },
    'SEP-1': { kind: 'separator', holds: 0.8 },
  },
  links: { P1: { from: 'MH-1', to: 'SEP-1' }, P2: { from: 'MH-2', to: 'SEP-1' } },
};
const THETA = 2;
const SHAPES = [0.8, 1.5];
const DELIVERED = [1, 0.3];

/** Mean over the prior of what `like` says of litres of the two zones, by the trapezoid rule in ln litres. */
function overPrior(like: (x1: number, x2: number) => number): number {
  const [from, to, steps] = [-26, 6, 900];
  const step = (to - from) / steps;
  const grid = SHAPES.map((shape) =>
    Array.from({ length: steps + 1 }, (_, at) => {
      const logX = from + at * step;
      const density = Math.exp(shape * (logX - Math.log(THETA)) - Math.exp(logX) / THETA - logGamma(shape));
      return { litres: Math.exp(logX), weight: density * step };
    }),
  );
  let sum = 0;
  for (const one of grid[0]) for (const two of grid[1]) sum += one.weight * two.weight * like(one.litres, two.litres);
  return sum;
}

const amountSaid = (held: number, found: number, factor: number) =>
  Math.exp(-0.5 * (Math.log(held / found) / Math.log(factor)) ** 2);
const lookSaid = (right: number, misread: number) => (1 - misread) * right + misread * (1 - right);

interface Case {
  name: string;
  findings: RawFinding[];
  like: (x1: number, x2: number) => number;
}

const atSeparator = (x1: number, x2: number) => DELIVERED[0] * x1 + DELIVERED[1] * x2;

const CASES: Case[] = [
  {
    name: 'an amount of unequal delivery',
    findings: [look('F1', 'SEP-1', litres(4, 1.3))],
    like: (x1, x2) => amountSaid(0.8 * atSeparator(x1, x2), 4, 1.3),
  },
  {
    name: 'an amount known well, a clean look and an oily one, both misread now and then',
    findings: [
      look('F1', 'SEP-1', litres(3, 1.05)),
      look('F2', 'MH-1', { seen: 'clean', noticeLitres: 0.4, misread: 0.1 }),
      look('F3', 'MH-2', { seen: 'oil', noticeLitres: 2, misread: 0.2 }),
    ],
    like: (x1, x2) =>
      amountSaid(0.8 * atSeparator(x1, x2), 3, 1.05) *
      lookSaid(Math.exp(-x1 / 0.4), 0.1) *
      lookSaid(-Math.expm1(-x2 / 2), 0.2),
  },
  {
    name: 'three looks that overlap and no amount',
    findings: [
      look('F1', 'SEP-1', { seen: 'oil', noticeLitres: 1.5, misread: 0.05 }),
      look('F2', 'MH-1', { seen: 'oil', noticeLitres: 0.7, misread: 0 }),
      look('F3', 'SEP-1', { seen: 'clean', noticeLitres: 3, misread: 0.1 }),
    ],
    like: (x1, x2) =>
      lookSaid(-Math.expm1(-atSeparator(x1, x2) / 1.5), 0.05) *
      -Math.expm1(-x1 / 0.7) *
      lookSaid(Math.exp(-atSeparator(x1, x2) / 3), 0.1),
  },
  {
    name: 'looks that are wrong more often than right',
    findings: [
      look('F1', 'MH-1', { seen: 'clean', noticeLitres: 0.5, misread: 0.8 }),
      look('F2', 'SEP-1', { seen: 'oil', noticeLitres: 0.5, misread: 1 }),
    ],
    like: (x1, x2) => lookSaid(Math.exp(-x1 / 0.5), 0.8) * lookSaid(-Math.expm1(-atSeparator(x1, x2) / 0.5), 1),
  },
  {
    name: 'two amounts, one of part of the other',
    findings: [look('F1', 'MH-2', litres(1.2, 1.5)), look('F2', 'SEP-1', litres(2, 1.2))],
    like: (x1, x2) => amountSaid(0.7 * x2, 1.2, 1.5) * amountSaid(0.8 * atSeparator(x1, x2), 2, 1.2),
  },
  {
    name: 'two amounts of which the part is more than the whole',
    findings: [look('F1', 'MH-2', litres(3, 2)), look('F2', 'SEP-1', litres(0.3, 2))],
    like: (x1, x2) => amountSaid(0.7 * x2, 3, 2) * amountSaid(0.8 * atSeparator(x1, x2), 0.3, 2),
  },
  {
    name: 'two amounts of the same place, an oily look',
    findings: [
      look('F1', 'SEP-1', litres(2, 1.5)),
      look('F2', 'SEP-1', litres(3, 2)),
      look('F3', 'MH-2', { seen: 'oil', noticeLitres: 1, misread: 0.03 }),
    ],
    like: (x1, x2) =>
      amountSaid(0.8 * atSeparator(x1, x2), 2, 1.5) *
      amountSaid(0.8 * atSeparator(x1, x2), 3, 2) *
      lookSaid(-Math.expm1(-x2), 0.03),
  },
];

describe('the mean weight is the chance of the findings, and weighted means are those of the posterior', () => {
  test.each(CASES)('$name, by quadrature', ({ findings, like }) => {
    const drainage = yard(PAIR);
    const question = pose(drainage, findings, { at: 'SEP-1', releaseLitres: THETA, unmappedShare: 0 });
    const model = deliveryModel(drainage, question.evidence);
    const groups = groupCells(question.evidence, model);
    const random = seededRandom(17);
    const weighing = new Weighing(question.evidence, groups, { model, release: { litres: THETA }, random });
    const first = groups.source.indexOf(question.evidence.sources.findIndex(({ zone }) => zone?.id === 'Z1'));
    const COUNT = 40_000;
    const weights = new Float64Array(COUNT);
    const parts = new Float64Array(COUNT);
    const proposal = new Proposal();
    for (let draw = 0; draw < COUNT; draw++) {
      weights[draw] = Math.exp(weighing.draw(proposal));
      parts[draw] = (weighing.state.litres[first] * DELIVERED[0]) / atSeparator(...bothOf(weighing, first));
    }
    const chance = overPrior(like);
    const mean = weights.reduce((sum, weight) => sum + weight, 0) / COUNT;
    const variance = weights.reduce((sum, weight) => sum + (weight - mean) ** 2, 0) / COUNT;
    expect(Math.abs(mean - chance)).toBeLessThan(ERRORS * Math.sqrt(variance / COUNT) + 1e-9);
    expect(Math.sqrt(variance / COUNT) / chance).toBeLessThan(0.03);

    const share = overPrior((x1, x2) => (like(x1, x2) * x1) / atSeparator(x1, x2)) / chance;
    const found = weights.reduce((sum, weight, draw) => sum + weight * parts[draw], 0) / (mean * COUNT);
    const spread = weights.reduce((sum, weight, draw) => sum + (weight * (parts[draw] - found)) ** 2, 0);
    expect(Math.abs(found - share)).toBeLessThan((ERRORS * Math.sqrt(spread)) / (mean * COUNT));
  });
});

const bothOf = ({ state }: Weighing, first: number): [number, number] => [state.litres[first], state.litres[1 - first]];

/** Mean share, and the standard error by how many draws it is worth, of each source. */
function sharesOf({ share, count, mixing }: Draws, size: number) {
  return Array.from({ length: size }, (_, source) => {
    const values = Float64Array.from({ length: count }, (__, draw) => share[draw * size + source]);
    const mean = values.reduce((sum, value) => sum + value, 0) / count;
    const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / count;
    return { mean, error: Math.sqrt(variance / mixing.effectiveCount) };
  });
}

describe('weighing and the chains', () => {
  const pick = <T>(random: Random, from: readonly T[]): T => from[Math.floor(random.uniform() * from.length)];

  test.each([2, 3, 4, 5, 6, 7])(
    'agree on random yard %i: a branch, rough yields, guessed holds, two amounts',
    (seed) => {
      const random = seededRandom(300 + seed);
      const between = (low: number, high: number) => low + (high - low) * random.uniform();
      const words: YardWords = {
        zones: {
          Z1: { areaM2: between(500, 4000), drainsTo: 'CB-1' },
          Z2: { areaM2: between(500, 4000), drainsTo: 'CB-2' },
          Z3: { oilLitresPerYear: between(1, 5), yieldFactor: 1.5, drainsTo: 'CB-2' },
          Z4: { oilLitresPerYear: between(0.5, 3), drainsTo: 'MH-1' },
        },
        structures: {
          'CB-1': { kind: 'catch-basin' },
          'CB-2': { kind: 'catch-basin' },
          'MH-1': { kind: 'manhole' },
          'SEP-1': { kind: 'separator' },
          'OUT-1': { kind: 'outfall' },
        },
        links: {
          P1: { from: 'CB-1', to: 'MH-1', share: between(0.4, 0.9) },
          P2: { from: 'CB-1', to: 'OUT-1' },
          P3: { from: 'CB-2', to: 'MH-1' },
          P4: { from: 'MH-1', to: 'SEP-1' },
        },
      };
      const window = () => pick(random, [TWO_YEARS, SECOND_YEAR]);
      const findings = [
        look('F1', 'SEP-1', { ...TWO_YEARS, ...litres(between(2, 8), between(1.2, 1.6)) }),
        look('F2', pick(random, ['CB-2', 'SEP-1']), { ...window(), ...litres(between(0.1, 0.6), between(1.5, 2.5)) }),
        look('F3', 'CB-1', { ...window(), seen: 'clean', noticeLitres: between(0.1, 0.5) }),
        look('F4', pick(random, ['MH-1', 'Z2']), { ...window(), seen: 'oil', noticeLitres: between(0.1, 1) }),
      ];
      const drainage = yard(words);
      const question = pose(drainage, findings, { at: 'SEP-1', seed });
      const model = deliveryModel(drainage, question.evidence);
      const prior = { median: 2, factor: 4 };
      const weighed = weighedDraws(question, { model, prior, count: 3000, effective: 1500 });
      if (!weighed) throw new Error('the weights are too uneven');
      const chained = chainDraws(question, { model, prior, sweeps: 5000 });
      const size = question.evidence.sources.length;
      const [ours, theirs] = [weighed, chained].map((draws) => sharesOf(draws, size));
      ours.forEach(({ mean, error }, source) => {
        const tolerance = ERRORS * Math.hypot(error, theirs[source].error) + 0.001;
        expect(tolerance).toBeLessThan(0.12);
        expect(Math.abs(mean - theirs[source].mean), `source ${source}`).toBeLessThan(tolerance);
      });
      const logTheta = [weighed, chained].map(({ releaseLitres, count }) => {
        return releaseLitres.reduce((sum, theta) => sum + Math.log(theta), 0) / count;
      });
      expect(Math.abs(logTheta[0] - logTheta[1])).toBeLessThan(0.25);
    },
  );
});

describe('θ far from where it was thought', () => {
  test('draws follow it, and its mean and spread are those of the quadrature', () => {
    // 300 L from a zone that yields 1 L a year: θ must be large.
    const drainage = yard({
      zones: { Z1: { oilLitresPerYear: 1, drainsTo: 'MH-1' } },
      structures: { 'MH-1': { kind: 'manhole' }, 'SEP-1': { kind: 'separator', holds: 0.5 } },
      links: { P1: { from: 'MH-1', to: 'SEP-1' } },
    });
    const [found, factor] = [300, 1.2];
    const question = pose(drainage, [look('F1', 'SEP-1', litres(found, factor))], { unmappedShare: 0 });
    const draws = drawPosterior(question, deliveryModel(drainage, question.evidence), 1500);
    const logTheta = draws.releaseLitres.map(Math.log);
    const mean = logTheta.reduce((sum, log) => sum + log, 0) / draws.count;
    const spread = Math.sqrt(logTheta.reduce((sum, log) => sum + (log - mean) ** 2, 0) / draws.count);
    const [moments, size] = [[0, 0, 0], 400];
    for (let one = 0; one < size; one++) {
      const z = -8 + (16 * (one + 0.5)) / size;
      const theta = 2 * 4 ** z;
      for (let two = 0; two < size; two++) {
        const off = -6 + (12 * (two + 0.5)) / size;
        const entered = (found / 0.5) * factor ** off;
        const shape = 1 / theta;
        const logDensity = shape * Math.log(entered / theta) - entered / theta - logGamma(shape);
        const weight = Math.exp(logDensity - 0.5 * off * off - 0.5 * z * z);
        for (const power of [0, 1, 2]) moments[power] += weight * Math.log(theta) ** power;
      }
    }
    const expected = moments[1] / moments[0];
    const expectedSpread = Math.sqrt(moments[2] / moments[0] - expected ** 2);
    expect(expected).toBeGreaterThan(Math.log(2 * 4 ** 2));
    const error = ERRORS / Math.sqrt(draws.mixing.effectiveCount);
    expect(draws.mixing.effectiveCount).toBeGreaterThan(1500);
    expect(Math.abs(mean - expected)).toBeLessThan(error * expectedSpread);
    expect(Math.abs(spread / expectedSpread - 1)).toBeLessThan(error);
  });
});

describe('zones that no finding can tell apart', () => {
  const words = star([3, 0.5, 2, 1, 1.5]);
  const drainage = yard(words);
  const findings = [look('F1', 'SEP-1', litres(5)), look('F2', 'MH-1', { seen: 'oil', misread: 0.3, noticeLitres: 9 })];
  const question = pose(drainage, findings, { releaseLitres: 2, unmappedShare: 0 });

  test('are one group, and others are not', () => {
    const { count, starts, cells } = groupCells(question.evidence, deliveryModel(drainage, question.evidence));
    expect(count).toBe(2);
    const sourceIds = [...cells].map(
      (cell) => question.evidence.sources[question.evidence.cells[cell].source].zone?.id,
    );
    expect(sourceIds.slice(starts[0], starts[1])).toEqual(['Z1']);
    expect(sourceIds.slice(starts[1], starts[2])).toEqual(['Z2', 'Z3', 'Z4', 'Z5']);
  });

  test('are not merged where a guessed hold tells them apart, whatever its default delivers', () => {
    const guessed = star([3, 2, 2]);
    // CB-2 by default holds as much as CB-3 is stated to hold.
    const structures = {
      ...guessed.structures,
      'MH-2': { kind: 'catch-basin' },
      'MH-3': { kind: 'catch-basin', holds: 0.1 },
    };
    const other = yard({ ...guessed, structures });
    const { evidence } = pose(other, [look('F1', 'SEP-1', litres(5))], { unmappedShare: 0 });
    expect(evidence.delivered[0][1]).toBeCloseTo(evidence.delivered[0][2], 12);
    expect(groupCells(evidence, deliveryModel(other, evidence)).count).toBe(3);
  });

  test('divide what they released by a Dirichlet, whatever was found', () => {
    const draws = drawPosterior(question, deliveryModel(drainage, question.evidence), 2000);
    const size = question.evidence.sources.length;
    const total = 0.5 + 2 + 1 + 1.5;
    for (const [source, yearly] of [
      [1, 0.5],
      [2, 2],
      [4, 1.5],
    ]) {
      const parts = Float64Array.from({ length: draws.count }, (_, draw) => {
        const row = draws.share.subarray(draw * size, (draw + 1) * size);
        return row[source] / (1 - row[0]);
      });
      const [a, all] = [yearly / 2, total / 2];
      const mean = parts.reduce((sum, part) => sum + part, 0) / draws.count;
      const variance = parts.reduce((sum, part) => sum + (part - mean) ** 2, 0) / draws.count;
      const expected = (a * (all - a)) / (all * all * (all + 1));
      expect(Math.abs(mean - a / all)).toBeLessThan(ERRORS * Math.sqrt(expected / draws.mixing.effectiveCount));
      expect(Math.abs(variance / expected - 1)).toBeLessThan(0.15);
    }
  });
});

describe('weights that cannot be believed', () => {
  const drainage = yard(star([4, 2, 1]));
  const contradiction = [look('F1', 'SEP-1', litres(5)), look('F2', 'SEP-1', litres(5000))];
  const plain = [look('F1', 'SEP-1', litres(5)), look('F2', 'MH-1', { seen: 'clean' })];
  const weigh = (findings: RawFinding[], effective = 1500) => {
    const question = pose(drainage, findings, {});
    const model = deliveryModel(drainage, question.evidence);
    return weighedDraws(question, { model, prior: { median: 2, factor: 4 }, count: 3000, effective });
  };

  test('are given up, and the chains are asked', () => {
    expect(weigh(plain)).not.toBeNull();
    expect(weigh(contradiction)).toBeNull();
    const question = pose(drainage, contradiction, {});
    const draws = drawPosterior(question, deliveryModel(drainage, question.evidence), 100);
    expect(draws.count).toBe(400);
    expect(draws.mixing.rHat).toBeGreaterThan(1);
  });

  test('are given up where their tail is too heavy for any mean, however few draws are wanted', () => {
    // Two amounts of one place and time that differ ten times: five effective draws are there, and a k̂ above 0.7 beside them.
    expect(weigh([look('F1', 'SEP-1', litres(5)), look('F2', 'SEP-1', litres(50))], 5)).toBeNull();
    expect(weigh(plain, 5)).not.toBeNull();
  });

  test('more draws wanted are more draws made, up to what is given up', () => {
    const [few, many] = [500, 6000].map((effective) => weigh(plain, effective)?.mixing.effectiveCount ?? 0);
    expect(few).toBeGreaterThan(350);
    expect(many).toBeGreaterThan(few);
    expect(weigh(plain, 200_000)).toBeNull();
  });
});
