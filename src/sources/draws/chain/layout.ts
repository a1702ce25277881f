import { kinshipsOf } from '../../model/kinships.ts';
import type { Evidence } from '../../question/evidence.ts';
import { isMeasured } from '../../question/observation.ts';

/**
 * Which cells, sources and findings belong together, as lists of numbers that never change while a chain runs. A cell is seen by few
 * of the findings, so the lists are far shorter than a table of cells by findings, and a move goes only along them.
 */
export interface Layout {
  /** Source of each cell; its findings are seenBy[seenFrom[cell]] to seenBy[seenFrom[cell + 1] − 1], in rising order. */
  source: Int32Array;
  seenFrom: Int32Array;
  seenBy: Int32Array;
  /** Cells that each finding sees, and cells of each source. */
  cellsSeen: Int32Array[];
  cellsOf: Int32Array[];
  allCells: Int32Array;
  allFindings: Int32Array;
  /** Findings with an amount: these tie the litres of their cells together, and moves go to them more often. */
  amounts: Int32Array;
  /** Standard deviation of ln yield that is each source's own; 0 where a yield is known, and then no move changes it. */
  ownSpread: Float64Array;
  /** Zones whose yields share a factor, with its size, and their cells. */
  kinships: { sources: number[]; cells: Int32Array; spread: number }[];
}

/**
 * Lays the evidence out in typed arrays. O(cells × (findings + sources)).
 *
 * Pairs of a cell and a finding that sees it stand in one row, cell after cell. What a litre brings to a finding has the same order in
 * the chain's state, so a move reads both in step.
 */
export function layoutOf({ cells, sources, findings }: Evidence): Layout {
  const allCells = Int32Array.from(cells.keys());
  const allFindings = Int32Array.from(findings.keys());
  const seenFrom = new Int32Array(cells.length + 1);
  cells.forEach(({ seenBy }, cell) => {
    seenFrom[cell + 1] = seenFrom[cell] + seenBy.length;
  });
  const { own, shared } = kinshipsOf(sources);
  return {
    source: Int32Array.from(cells, ({ source }) => source),
    seenFrom,
    seenBy: Int32Array.from(cells.flatMap(({ seenBy }) => seenBy)),
    cellsSeen: findings.map((_, finding) => allCells.filter((cell) => cells[cell].seenBy.includes(finding))),
    cellsOf: sources.map((_, source) => allCells.filter((cell) => cells[cell].source === source)),
    allCells,
    allFindings,
    amounts: allFindings.filter((finding) => isMeasured(findings[finding])),
    ownSpread: own,
    kinships: shared.map(({ sources: kin, spread }) => ({
      sources: kin,
      spread,
      cells: allCells.filter((cell) => kin.includes(cells[cell].source)),
    })),
  };
}
