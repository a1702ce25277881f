import type { Highs } from 'highs';

/** A linear program over variables from 0 to 1, some of them 0 or 1 only, to be made as small as possible. */
export interface IntegerProgram {
  /** Cost of each variable. */
  cost: readonly number[];
  /** Whether each variable is 0 or 1 only. */
  isWhole: readonly boolean[];
  rows: readonly Row[];
}

/** Σ factor · variable, from `atLeast` to `atMost` (either may be infinite). */
export interface Row {
  variables: readonly number[];
  factors: readonly number[];
  atLeast: number;
  atMost: number;
}

export interface IntegerSolution {
  cost: number;
  /** Whole variables are exactly 0 or 1. */
  values: Float64Array;
  /** 0 where it is proved to be the least; else by how much of its cost it may be over that. */
  gap: number;
}

/** Solves a program; null where nothing satisfies its rows, or nothing was found within the limit. */
export type IntegerSolver = (program: IntegerProgram) => IntegerSolution | null;

/** Branches that are looked at before the best so far is taken: work is counted, so the same program gives the same answer. */
const MOST_NODES = 20_000;

/**
 * A solver from a loaded HiGHS (branch and bound over the simplex method, MIT licence). Loading it is up to the face: it
 * is WebAssembly and comes from a file. Runs to the end in one call: in a browser, call it in a worker.
 *
 * Exponential in the number of whole variables at worst, so branches are counted and not seconds: after `mostNodes` of
 * them the best so far comes back with its `gap`. Rows are satisfied within the solver's tolerance (1e-6 or so), so a row
 * that must hold exactly is for the caller to check once whole variables are rounded. Lists of unequal length are not
 * checked.
 */
export function integerSolver(highs: Highs, mostNodes = MOST_NODES): IntegerSolver {
  return ({ cost, isWhole, rows }) => {
    const starts = new Int32Array(rows.length + 1);
    rows.forEach(({ variables }, row) => {
      starts[row + 1] = starts[row] + variables.length;
    });
    const { continuous, integer } = highs.constants.variableType;
    const model = highs.createModel({
      numCols: cost.length,
      numRows: rows.length,
      colCost: Float64Array.from(cost),
      colLower: new Float64Array(cost.length),
      colUpper: new Float64Array(cost.length).fill(1),
      rowLower: Float64Array.from(rows, ({ atLeast }) => atLeast),
      rowUpper: Float64Array.from(rows, ({ atMost }) => atMost),
      matrix: {
        format: 'csr',
        numRows: rows.length,
        numCols: cost.length,
        starts,
        indices: Int32Array.from(rows.flatMap(({ variables }) => variables)),
        values: Float64Array.from(rows.flatMap(({ factors }) => factors)),
      },
      integrality: isWhole.map((whole) => (whole ? integer : continuous)),
    });
    try {
      model.options.set({ output_flag: false, mip_rel_gap: 0, mip_abs_gap: 0, mip_max_nodes: mostNodes });
      model.run();
      const status = model.getModelStatus();
      const { optimal, solutionLimit } = highs.constants.modelStatus;
      if (status !== optimal && status !== solutionLimit) return null;
      const values = Float64Array.from(model.getSolution().colValue);
      const gap = status === optimal ? 0 : Number(model.info.get('mip_gap'));
      // Stopped before anything was found.
      if (values.length !== cost.length || !Number.isFinite(gap)) return null;
      for (let at = 0; at < values.length; at++) if (isWhole[at]) values[at] = Math.round(values[at]);
      return { cost: values.reduce((sum, value, at) => sum + value * cost[at], 0), values, gap };
    } finally {
      model.dispose();
    }
  };
}
