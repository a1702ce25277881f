import { logGammaDraw, type Random } from '../../../algorithms/index.ts';
import type { DeliveryModel } from '../../model/delivery-model.ts';
import type { ReleasePrior } from '../../model/rates.ts';
import type { Evidence } from '../../question/evidence.ts';
import { isMeasured } from '../../question/observation.ts';
import { moveHolds } from './holds.ts';
import { refresh, scale, split } from './litres.ts';
import { Shapes } from './shapes.ts';
import { ChainState } from './state.ts';
import { swap } from './swap.ts';
import { Trial } from './trial.ts';

/** Steps of θ in a sweep: it is one number for all cells, and moves slowly. */
const THETA_STEPS = 2;
/** Swaps in a sweep: few, since each costs as much as the moves of two zones' yields. */
const SWAPS = 8;
/** Draws of the prior that a chain chooses its start from. Each chain draws its own, so that they start apart. */
const FIRST_DRAWS = 50;

/** One Markov chain over everything that is not known. */
export interface Chain {
  state: ChainState;
  /** Every kind of move once over. O(cells × findings + ways between guesses). */
  sweep(): void;
}

/**
 * A Markov chain over litres of every cell, θ, the roughness of yields and guessed `holds`. Every move leaves the posterior as
 * it is; a test holds the moves, one by one and together, to the exact posterior. Moves run millions of times: arrays are taken out
 * of their objects before a loop, and nothing is made that is thrown away where it can be helped.
 *
 * The order of the moves in a sweep is fixed. That is sound because each move alone leaves the posterior as it is, so any
 * sequence of them does; only which finding or guess a move works on is drawn, by chances that do not depend on the state.
 * Refreshes alone would reach any litres. They are seldom taken where a finding ties cells closely together, and the
 * other moves are there for that: they go along what the finding fixes instead of across it.
 */
export function startChain(
  { evidence, model, release }: { evidence: Evidence; model: DeliveryModel; release: ReleasePrior },
  random: Random,
): Chain {
  const state = new ChainState(evidence, model, release);
  const trial = new Trial(state, random);
  const shapes = new Shapes(trial);
  const tools = { shapes, others: new Int32Array(evidence.cells.length) };
  const { allCells, allFindings, amounts, kinships } = state.layout;
  /** A finding to move the cells of: an amount half of the time, where there is one, for amounts tie cells together. */
  const anyFinding = () => {
    const from = amounts.length > 0 && random.uniform() < 0.5 ? amounts : allFindings;
    return from[Math.floor(random.uniform() * from.length)];
  };
  putStart(state, random);
  return {
    state,
    sweep() {
      // Litres first, then what their shapes hang on, then delivery; each kind about as often as there are things to move.
      for (let cell = 0; cell < allCells.length; cell++) refresh(trial, cell);
      for (let time = 0; time < allCells.length; time++) split(trial, anyFinding());
      for (let time = 0; time < SWAPS; time++) swap(trial, tools, anyFinding());
      scale(trial, anyFinding());
      for (let time = 0; time < THETA_STEPS; time++) shapes.moveTheta();
      for (let source = 0; source < state.own.length; source++) shapes.moveOwn(source);
      for (let kinship = 0; kinship < kinships.length; kinship++) shapes.moveShared(kinship);
      if (model.guessed > 0) moveHolds(trial, Math.floor(random.uniform() * model.guessed));
      state.addUp();
    },
  };
}

/**
 * Starts from the best of some draws of the prior, each brought to the size of the amounts. Where a chain starts does not
 * change what it comes to, only how soon; but a start far from every amount would use up the sweeps that are thrown away.
 * Amounts are met one after the other, so that of two that share cells only the later one is sure to be met.
 */
function putStart(state: ChainState, random: Random): void {
  const { findings } = state.evidence;
  const { allCells, cellsSeen } = state.layout;
  let best = Number.NEGATIVE_INFINITY;
  let found = state.logLitres.slice();
  for (let draw = 0; draw < FIRST_DRAWS; draw++) {
    for (const cell of allCells) state.put(cell, state.logTheta + logGammaDraw(random, state.shape[cell]));
    findings.forEach((each, finding) => {
      const logEntered = state.logEntered(finding);
      if (!isMeasured(each) || logEntered === Number.NEGATIVE_INFINITY) return;
      const by = Math.log(each.litres / state.delivery.holds[finding]) - logEntered;
      for (const cell of cellsSeen[finding]) state.put(cell, state.logLitres[cell] + by);
    });
    state.addUp();
    const logLike = state.logLike.reduce((sum, value) => sum + value, 0);
    if (logLike > best || draw === 0) [best, found] = [logLike, state.logLitres.slice()];
  }
  for (const cell of allCells) state.put(cell, found[cell]);
  state.addUp();
}
