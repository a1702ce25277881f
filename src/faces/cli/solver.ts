import loadHighs from 'highs';
import { type IntegerSolver, integerSolver } from '../../algorithms/index.ts';

/** The integer program solver, loaded for the verbs that need one. */
export async function loadSolver(): Promise<IntegerSolver> {
  return integerSolver(await loadHighs());
}
