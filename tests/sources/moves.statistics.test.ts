import { beforeAll, describe, expect, test } from 'vitest';
import { logGamma, logGammaDraw, type Random, seededRandom } from '../../src/algorithms/index.ts';
import { moveHolds } from '../../src/sources/draws/chain/holds.ts';
import { refresh, scale, split } from '../../src/sources/draws/chain/litres.ts';
import { Shapes } from '../../src/sources/draws/chain/shapes.ts';
import { ChainState } from '../../src/sources/draws/chain/state.ts';
import { swap } from '../../src/sources/draws/chain/swap.ts';
import { Trial } from '../../src/sources/draws/chain/trial.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { poseQuestion } from '../../src/sources/question/question.ts';
import { soundFindings } from '../support/ask.ts';
import { look, SECOND_YEAR, TWO_YEARS } from '../support/star.ts';
import { yard } from '../support/yard.ts';

/*
 * Every move of the chain leaves the posterior as it is. Exact draws of the posterior are made without the chain, by rejection:
 * drawn from the prior and kept with a chance that is the likelihood, which is never above 1. A move that is right may change
 * every one of them, and no mean over all of them. One that lacks a factor of its ratio drifts.
 */

/** Within ×/÷ this the size of a release is known. */
const FACTOR = 3;
const DRAWS = 4000;
const MOVES = 20;
const [MANY_DRAWS, MANY_MOVES] = [30_000, 300];
/** Standard errors within which each mean of the changes is 0. */
const ERRORS = 4.5;

/** Three zones, two of one activity, with rough yields; one drains half past its lid; what the separator holds is a guess. */
const drainage = yard({
  zones: {
    Z1: {
      areaM2: 9000,
      activity: 'parking',
      drainsTo: [
        { to: 'MH-1', share: 0.5 },
        { to: 'SEP-1', share: 0.5 },
      ],
    },
    Z2: { areaM2: 6000, activity: 'parking', drainsTo: 'MH-2' },
    Z3: { areaM2: 2000, activity: 'workshop', drainsTo: 'CB-3' },
  },
  structures: {
    'MH-1': { kind: 'manhole' },
    'MH-2': { kind: 'manhole' },
    'CB-3': { kind: 'catch-basin' },
    'SEP-1': { kind: 'separator' },
  },
  links: {
    P1: { from: 'MH-1', to: 'SEP-1' },
    P2: { from: 'MH-2', to: 'SEP-1' },
    P3: { from: 'CB-3', to: 'SEP-1' },
  },
});
const looks = [
  look('F2', 'SEP-1', { ...SECOND_YEAR, seen: 'oil', misread: 0.3, noticeLitres: 3 }),
  look('F3', 'MH-1', { ...TWO_YEARS, seen: 'clean', misread: 0.3, noticeLitres: 2 }),
];
/** Four zones of rough yield that each bring a part: some of them follow while a pair swaps, so that what enters changes with it. */
const four = yard({
  zones: Object.fromEntries(
    Array.from({ length: 4 }, (_, at) => [`Z${at}`, { oilLitresPerYear: 12, yieldFactor: 8, drainsTo: 'SEP-1' }]),
  ),
  structures: { 'SEP-1': { kind: 'separator' } },
});
const SCENES = {
  'an amount': {
    drainage,
    median: 2,
    found: [look('F1', 'SEP-1', { ...TWO_YEARS, amount: { litres: 4, factor: 2.5 } }), ...looks],
  },
  'a look that says nothing': {
    drainage,
    median: 2,
    found: [look('F1', 'SEP-1', { ...TWO_YEARS, seen: 'oil', misread: 0.5 }), ...looks],
  },
  'many that bring a little': {
    drainage: four,
    median: 15,
    found: [
      look('F1', 'SEP-1', { ...TWO_YEARS, seen: 'oil', misread: 0.5 }),
      look('F2', 'SEP-1', { ...SECOND_YEAR, seen: 'oil', misread: 0.5 }),
    ],
  },
};

function posed(scene: keyof typeof SCENES) {
  const { drainage, median, found } = SCENES[scene];
  const { evidence } = poseQuestion(drainage, soundFindings(drainage, found), { at: 'SEP-1', unmappedShare: 0.1 });
  return { evidence, model: deliveryModel(drainage, evidence), release: { median, factor: FACTOR } };
}

/** Puts everything as the prior has it. */
function drawPrior(state: ChainState, random: Random): void {
  const { evidence, layout, release } = state;
  const { ownSpread, kinships, source, allCells } = layout;
  if ('litres' in release) throw new Error('θ is to be drawn');
  state.logTheta = Math.log(release.median) + Math.log(release.factor) * random.normal();
  for (let at = 0; at < state.own.length; at++) {
    state.own[at] = random.normal();
    state.logYield[at] = Math.log(evidence.sources[at].litresPerYear) + ownSpread[at] * state.own[at];
  }
  kinships.forEach(({ sources, spread }, at) => {
    state.shared[at] = random.normal();
    for (const each of sources) state.logYield[each] += spread * state.shared[at];
  });
  for (let at = 0; at < state.stray.length; at++) state.stray[at] = random.normal();
  state.stepDelivery();
  for (const cell of allCells) {
    state.shape[cell] = Math.exp(state.logYield[source[cell]] - state.logTheta) * evidence.cells[cell].years;
    state.logGammaNext[cell] = logGamma(state.shape[cell] + 1);
    state.put(cell, state.logTheta + logGammaDraw(random, state.shape[cell]));
  }
  state.addUp();
}

function drawPosterior(state: ChainState, random: Random): void {
  do drawPrior(state, random);
  while (Math.log(random.uniform()) > state.logLike.reduce((sum, log) => sum + log, 0));
}

/** What is looked at of a state: everything that moves, in bounded or normal form. */
function figures(state: ChainState): number[] {
  const { evidence } = state;
  const parts = evidence.sources.map((_, source) => {
    let sum = 0;
    for (const cell of state.layout.cellsOf[source]) sum += state.litres[cell];
    return sum;
  });
  const all = parts.reduce((sum, part) => sum + part, 0);
  return [
    state.logTheta,
    state.logTheta ** 2,
    ...state.own,
    ...state.shared,
    ...state.stray,
    ...parts.map((part) => part / all),
    ...parts.map((part) => Number(part > all / 2)),
    Math.log(all),
    ...[...state.entered].flatMap((entered) => [Math.exp(-entered), Math.log(entered)]),
    ...[...state.litres].map((litres) => Math.exp(-litres)),
    state.own[0] * parts[0],
    state.logTheta * Math.log(all),
  ].map((value) => Math.max(-50, Math.min(50, value)));
}

type Move = (trial: Trial, tools: { shapes: Shapes; others: Int32Array; random: Random }) => void;
const any = (count: number, random: Random) => Math.floor(random.uniform() * count);

const MOVED: Record<string, Move> = {
  refresh: (trial, { random }) => refresh(trial, any(trial.moved.length, random)),
  split: (trial, { random }) => split(trial, any(trial.entered.length, random)),
  swap: (trial, { shapes, others, random }) => swap(trial, { shapes, others }, any(trial.entered.length, random)),
  scale: (trial, { random }) => scale(trial, any(trial.entered.length, random)),
  'step of θ': (_, { shapes }) => shapes.moveTheta(),
  'step of a yield': (trial, { shapes, random }) => shapes.moveOwn(any(trial.growth.length, random)),
  'step of a shared factor': (_, { shapes }) => shapes.moveShared(0),
  'step of a guessed holds': (trial, { random }) => moveHolds(trial, any(trial.state.stray.length, random)),
};

const cases = (Object.keys(SCENES) as (keyof typeof SCENES)[]).flatMap((scene) =>
  // What enters changes little with each swap, so that it takes many of them, and many draws, to see which way.
  Object.keys(MOVED)
    .filter((move) => scene !== 'many that bring a little' || move === 'swap')
    .map((move) => ({ scene, move })),
);

describe.each(cases)('$move, with $scene', ({ scene, move }) => {
  const isMany = scene === 'many that bring a little';
  const [draws, moves] = isMany ? [MANY_DRAWS, MANY_MOVES] : [DRAWS, MOVES];
  let changes: number[][] = [];
  beforeAll(() => {
    const random = seededRandom(1 + move.length);
    const { evidence, model, release } = posed(scene);
    const state = new ChainState(evidence, model, release);
    const trial = new Trial(state, random);
    const tools = { shapes: new Shapes(trial), others: new Int32Array(evidence.cells.length), random };
    changes = Array.from({ length: draws }, () => {
      drawPosterior(state, random);
      const before = figures(state);
      for (let time = 0; time < moves; time++) MOVED[move](trial, tools);
      return figures(state).map((value, at) => value - before[at]);
    });
  }, 300_000);

  test('moves, and leaves every mean over exact draws of the posterior where it was', () => {
    expect(changes.filter((each) => each.some((value) => value !== 0)).length).toBeGreaterThan(draws / 5);
    const errors = changes[0].map((_, at) => {
      const mean = changes.reduce((sum, each) => sum + each[at], 0) / draws;
      const variance = changes.reduce((sum, each) => sum + (each[at] - mean) ** 2, 0) / draws;
      return variance === 0 ? 0 : mean / Math.sqrt(variance / draws);
    });
    expect(errors.map((error) => Math.abs(error)).filter((error) => !(error < ERRORS))).toEqual([]);
  });
});
