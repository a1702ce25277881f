import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../src/algorithms/index.ts';
import { holdsOf } from '../../src/drainage/index.ts';
import type { Structure } from '../../src/site-map/index.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { poseQuestion } from '../../src/sources/question/question.ts';
import { soundFindings } from '../support/ask.ts';
import { litres, look } from '../support/star.ts';
import { type YardWords, yard } from '../support/yard.ts';

const pipes = (pairs: readonly (readonly [string, string, number?])[]) =>
  Object.fromEntries(pairs.map(([from, to, share], at) => [`P${at}`, { from, to, ...(share ? { share } : {}) }]));

const zones = { Z1: { drainsTo: 'CB-1' }, Z2: { drainsTo: 'CB-2' }, Z3: { drainsTo: 'MH-1' } };
const structures = {
  'CB-1': { kind: 'catch-basin' },
  'CB-2': { kind: 'catch-basin' },
  'CB-3': { kind: 'catch-basin', holds: 0.3 },
  'MH-1': { kind: 'manhole' },
  'POND-1': { kind: 'pond' },
  'SEP-1': { kind: 'separator' },
  'OUT-1': { kind: 'outfall' },
};

const YARDS: Record<string, YardWords> = {
  'a tree with a branch': {
    zones,
    structures,
    links: pipes([
      ['CB-1', 'MH-1', 0.6],
      ['CB-1', 'CB-3'],
      ['CB-3', 'CB-2'],
      ['CB-2', 'POND-1'],
      ['MH-1', 'POND-1'],
      ['POND-1', 'SEP-1', 0.7],
      ['POND-1', 'OUT-1'],
    ]),
  },
  'a loop of manholes, and one through a guessed basin': {
    zones,
    structures: { ...structures, 'MH-2': { kind: 'manhole' } },
    links: pipes([
      ['CB-1', 'MH-1'],
      ['MH-1', 'MH-2', 0.5],
      ['MH-2', 'MH-1', 0.5],
      ['MH-1', 'CB-2'],
      ['CB-2', 'CB-3', 0.4],
      ['CB-3', 'CB-2'],
      ['CB-2', 'POND-1'],
      ['MH-2', 'POND-1'],
      ['POND-1', 'SEP-1'],
    ]),
  },
  'a loop of two guessed basins': {
    zones,
    structures,
    links: pipes([
      ['CB-1', 'CB-2', 0.8],
      ['CB-2', 'CB-1', 0.3],
      ['CB-1', 'MH-1'],
      ['CB-2', 'MH-1'],
      ['MH-1', 'POND-1'],
      ['POND-1', 'SEP-1'],
    ]),
  },
};

/** Every structure with a guessed `holds` has a finding, so that the model says what it is taken to hold. */
const FINDINGS = [
  look('F1', 'SEP-1', litres(5)),
  look('F2', 'POND-1', { seen: 'clean', rainMm: 4 }),
  look('F3', 'CB-2', { seen: 'oil' }),
  look('F4', 'CB-1', { seen: 'clean' }),
  look('F5', 'Z3', { seen: 'clean' }),
  look('F6', 'SEP-1', { seen: 'oil' }),
];

const evidenceOf = (words: YardWords) => {
  const drainage = yard(words);
  return { drainage, ...poseQuestion(drainage, soundFindings(drainage, FINDINGS), {}) };
};

/** The same yard with what structures hold stated. */
function stated(words: YardWords, values: Map<string, number>): YardWords {
  const all = Object.entries(words.structures).map(([id, structure]) => {
    return [id, values.has(id) ? { ...structure, holds: values.get(id) } : structure];
  });
  return { ...words, structures: Object.fromEntries(all) };
}

describe('delivery as guessed holds stray', () => {
  test.each(Object.entries(YARDS))('%s: it is that of the same yard with those holds stated', (_, words) => {
    const { drainage, evidence } = evidenceOf(words);
    const model = deliveryModel(drainage, evidence);
    expect(model.guessed).toBe(4);
    const random = seededRandom(8);
    const delivery = model.at(new Float64Array(model.guessed));
    evidence.delivered.forEach((row, finding) => {
      row.forEach((value, source) => {
        expect(delivery.delivered[finding][source]).toBeCloseTo(value, 12);
      });
    });
    for (let run = 0; run < 10; run++) {
      const strays = Float64Array.from({ length: 4 }, () => random.normal());
      model.into(strays, delivery);
      const values = new Map(FINDINGS.slice(0, 4).map(({ at }, finding) => [at, delivery.holds[finding]]));
      const logOdds = [...values].map(([id, holds]) => {
        const middle = holdsOf(drainage.map.structures.find((each) => each.id === id) as Structure);
        return Math.log(((holds / (1 - holds)) * (1 - middle)) / middle) / Math.log(3);
      });
      const sorted = Float64Array.from(logOdds).sort();
      strays.sort().forEach((stray, at) => {
        expect(sorted[at]).toBeCloseTo(stray, 9);
      });
      const { evidence: other } = evidenceOf(stated(words, values));
      other.delivered.forEach((row, finding) => {
        row.forEach((value, source) => {
          expect(delivery.delivered[finding][source]).toBeCloseTo(value, 12);
        });
      });
    }
  });
});
