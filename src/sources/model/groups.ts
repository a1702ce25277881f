import type { Evidence } from '../question/evidence.ts';
import type { DeliveryModel } from './delivery-model.ts';

/**
 * Cells that no finding can tell apart, whatever the guessed `holds`: a finding sees all of a group or none of it, and
 * takes as much of a litre from each. What a group released together is a gamma whose shape is the sum of theirs, and how
 * it divides among them is Dirichlet, whatever was found (Lukacs 1955: the sum and the proportions of gammas are independent).
 *
 * Every finding's likelihood is then a function of the group's sum alone, so the posterior of the proportions given the sum, θ
 * and yields is their prior. They can be drawn last, and the weighing has as many gammas as there are groups, not cells.
 */
export interface Groups {
  count: number;
  /** Cells of group g are cells[starts[g]] to cells[starts[g + 1] − 1]. */
  starts: Int32Array;
  cells: Int32Array;
  /** Source of each of these cells, and its part of the source's yield, years included. */
  sources: Int32Array;
  years: Float64Array;
  /** A source whose delivery is that of the whole group. */
  source: Int32Array;
  /** Groups that each finding sees. */
  seen: Int32Array[];
}

/** Digits to which deliveries must agree; sums in another order differ in the last few. */
const SAME_DIGITS = 12;
/**
 * Delivery is a rational function of `holds`: where two agree at three places of no special kind, they are the same. Two that
 * differ agree only on a set without volume, so that it would take a coincidence to meet it, and three of them here. The first
 * place is the defaults; the other two have nothing in common from one guess to the next.
 */
const STRAYS: readonly ((guess: number) => number)[] = [
  () => 0,
  (guess) => Math.sin(1 + guess),
  (guess) => Math.cos(2 + 3 * guess),
];

/** Puts cells into groups, in the order of their first cells. Every cell is in exactly one. O(cells × findings). */
export function groupCells({ cells, findings }: Evidence, model: DeliveryModel): Groups {
  const samples = STRAYS.map((stray) => model.at(Float64Array.from({ length: model.guessed }, (_, at) => stray(at))));
  const members = new Map<string, number[]>();
  cells.forEach(({ source, seenBy }, cell) => {
    const parts = samples.flatMap(({ delivered }) =>
      seenBy.map((finding) => delivered[finding][source].toPrecision(SAME_DIGITS)),
    );
    const key = `${seenBy.join()} ${parts.join()}`;
    const group = members.get(key);
    if (group) group.push(cell);
    else members.set(key, [cell]);
  });
  const groups = [...members.values()];
  const starts = new Int32Array(groups.length + 1);
  groups.forEach((group, at) => {
    starts[at + 1] = starts[at] + group.length;
  });
  const order = groups.flat();
  return {
    count: groups.length,
    starts,
    cells: Int32Array.from(order),
    sources: Int32Array.from(order, (cell) => cells[cell].source),
    years: Float64Array.from(order, (cell) => cells[cell].years),
    source: Int32Array.from(groups, ([first]) => cells[first].source),
    seen: findings.map((_, finding) =>
      Int32Array.from(groups.keys()).filter((group) => cells[groups[group][0]].seenBy.includes(finding)),
    ),
  };
}
