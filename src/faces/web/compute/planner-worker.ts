import loadHighs from 'highs';
import wasmUrl from 'highs/runtime?url';
import { integerSolver } from '../../../algorithms/index.ts';
import { createPlannerAnswers } from './planner-answers.ts';
import { serve } from './serve.ts';

/** The solver is large: it is fetched when the first plan is asked for. */
const loadSolver = async () => integerSolver(await loadHighs({ locateFile: () => wasmUrl }));

serve(self as unknown as DedicatedWorkerGlobalScope, createPlannerAnswers(loadSolver));
