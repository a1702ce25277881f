import type { Mixing } from '../../algorithms/index.ts';
import type { Question } from '../question/question.ts';

/**
 * Draws from the posterior, all of equal weight: what an engine hands on and the answer is read off. They need not be independent;
 * `mixing` says what they are worth. A draw is one full account of what happened, so what hangs together (a zone's yield, its
 * litres, its share) must be read from one and the same draw.
 */
export interface Draws {
  count: number;
  /** Litres each source released in the target's window, source by source within each draw: count × sources. */
  released: Float64Array;
  /** Part of the oil at the target that is each source's, same layout; each draw adds up to 1. */
  share: Float64Array;
  /** θ of each draw, litres. */
  releaseLitres: Float64Array;
  /** Litres a year of each source, roughness included, same layout as `released`. */
  litresPerYear: Float64Array;
  /** ln likelihood of each finding: count × findings. */
  logLike: Float64Array;
  /** The worst mixing among the shares that matter. */
  mixing: Mixing;
}

/** One draw, as an engine has it. */
export interface State {
  /** Litres. */
  theta: number;
  /** By source. */
  litresPerYear: Float64Array;
  /** Delivery to the target, by source. */
  delivered: Float64Array;
  /** ln litres of each cell, which do not underflow. */
  logLitres: Float64Array;
  /** ln likelihood by finding. */
  logLike: Float64Array;
}

/**
 * Room for so many draws, and what writes a draw there, each once. At least one cell of the target must have a delivery above 0,
 * else shares are no numbers; `findSources` asks for that first, and `learnRates` reads no shares. Shares are Σ over the source's
 * cells of delivery × litres, over the same sum of all; what the structure holds is a common factor and drops out. Writing is
 * O(cells + sources + findings).
 */
export function drawTable(
  { evidence, target }: Question,
  count: number,
): { draws: Draws; write: (draw: number, state: State) => void } {
  const { sources, findings, cells } = evidence;
  const size = sources.length;
  const draws: Draws = {
    count,
    released: new Float64Array(count * size),
    share: new Float64Array(count * size),
    releaseLitres: new Float64Array(count),
    litresPerYear: new Float64Array(count * size),
    logLike: new Float64Array(count * findings.length),
    mixing: { effectiveCount: count, rHat: 1 },
  };
  const seen = Int32Array.from(cells.keys()).filter((cell) => cells[cell].seenBy.includes(target));
  const sourceOf = Int32Array.from(seen, (cell) => cells[cell].source);
  const write = (draw: number, { theta, litresPerYear, delivered, logLitres, logLike }: State) => {
    const [released, share] = [draws.released, draws.share];
    const first = draw * size;
    // Against the most litres, so that shares are right where every litre underflows.
    let top = Number.NEGATIVE_INFINITY;
    for (let at = 0; at < seen.length; at++) if (logLitres[seen[at]] > top) top = logLitres[seen[at]];
    const most = Math.exp(top);
    let arrived = 0;
    for (let at = 0; at < seen.length; at++) {
      const litres = Math.exp(logLitres[seen[at]] - top);
      const part = delivered[sourceOf[at]] * litres;
      released[first + sourceOf[at]] += most * litres;
      share[first + sourceOf[at]] += part;
      arrived += part;
    }
    for (let source = 0; source < size; source++) {
      share[first + source] /= arrived;
      draws.litresPerYear[first + source] = litresPerYear[source];
    }
    draws.releaseLitres[draw] = theta;
    for (let at = 0; at < logLike.length; at++) draws.logLike[draw * logLike.length + at] = logLike[at];
  };
  return { draws, write };
}

/**
 * A source whose mean share is under this does not decide how good the draws are. The error of a small share is small in itself,
 * and many of them are 0 in nearly every draw, where effective numbers of draws mean little.
 */
const SHARE_THAT_MATTERS = 0.05;

/** The shares, draw by draw, of each source that has enough of the oil to matter. O(draws × sources). */
export function sharesThatMatter({ share, count }: Draws): Float64Array[] {
  const size = share.length / count;
  const sums = new Float64Array(size);
  for (let at = 0; at < share.length; ) for (let source = 0; source < size; source++) sums[source] += share[at++];
  const matter = [...sums.keys()].filter((source) => sums[source] >= SHARE_THAT_MATTERS * count);
  return matter.map((source) => {
    const values = new Float64Array(count);
    for (let draw = 0; draw < count; draw++) values[draw] = share[draw * size + source];
    return values;
  });
}
