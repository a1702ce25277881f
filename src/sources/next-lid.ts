import { type Drainage, upstreamOf } from '../drainage/index.ts';
import { byId, type StructureKind } from '../site-map/index.ts';
import { DEFAULT_NOTICE_LITRES, type Draws, OIL_MISREAD } from './draws.ts';
import type { Question } from './question.ts';

/** A structure worth opening: how much the look would tell about the main source, and the chance of oil there. */
export interface NextLid {
  at: string;
  bits: number;
  chanceOfOil: number;
}

/** Structures a crew can look into by lifting a lid or a grate. */
const LID_KINDS: readonly StructureKind[] = ['catch-basin', 'trench-drain', 'manhole'];
const MOST_STEPS = 20_000_000;

/**
 * Ranks every lid that oil on its way to the point can pass and that was not opened yet by the mutual information, in
 * bits, between what would be said there (clean or oil, wrong now and then) and which source is the main one. Without
 * a point (`at` null), every lid of the map. Best first; a lid that tells nothing has 0 bits.
 * O(lids × (edges + draws × sources)), the draws thinned so that it stays within some 20 million steps.
 */
export function rankLids(drainage: Drainage, question: Question, draws: Draws, opened: ReadonlySet<string>): NextLid[] {
  const { map, order, nodeOf } = drainage;
  const placeOf = (id: string) => order.placeOf[nodeOf.get(id) as number];
  const above = question.at === null ? null : upstreamOf(drainage, placeOf(question.at)).reaches;
  const lids = map.structures.filter(
    ({ id, kind }) =>
      LID_KINDS.includes(kind) && id !== question.at && !opened.has(id) && (above === null || above[placeOf(id)] === 1),
  );
  const size = question.sources.length;
  const stride = Math.max(1, Math.ceil((lids.length * size * draws.count) / MOST_STEPS));
  const main = mainSources(draws, size);
  return lids
    .map(({ id }): NextLid => {
      const { delivered } = upstreamOf(drainage, placeOf(id));
      const passing = question.sources.map(({ zone }) => (zone ? delivered[placeOf(zone.id)] : 0));
      return { at: id, ...lookInto(draws, { passing, main, stride }) };
    })
    .sort((a, b) => b.bits - a.bits || byId(a.at, b.at));
}

/** The source with the largest share in each draw. */
export function mainSources({ count, share }: Draws, size: number): Int32Array {
  const main = new Int32Array(count);
  for (let draw = 0; draw < count; draw++) {
    for (let source = 1; source < size; source++) {
      if (share[draw * size + source] > share[draw * size + main[draw]]) main[draw] = source;
    }
  }
  return main;
}

function lookInto(
  { count, released, weight }: Draws,
  { passing, main, stride }: { passing: number[]; main: Int32Array; stride: number },
): Omit<NextLid, 'at'> {
  const size = passing.length;
  const ways = passing.map((fraction, source) => ({ fraction, source })).filter(({ fraction }) => fraction > 0);
  const chanceOfMain = new Float64Array(size);
  const oilAndMain = new Float64Array(size);
  let [sum, oil] = [0, 0];
  for (let draw = 0; draw < count; draw += stride) {
    let litres = 0;
    for (const { fraction, source } of ways) litres += fraction * released[draw * size + source];
    const noticed = -Math.expm1(-litres / DEFAULT_NOTICE_LITRES);
    const saysOil = weight[draw] * (noticed * (1 - OIL_MISREAD) + (1 - noticed) * OIL_MISREAD);
    sum += weight[draw];
    oil += saysOil;
    chanceOfMain[main[draw]] += weight[draw];
    oilAndMain[main[draw]] += saysOil;
  }
  const chanceOfOil = oil / sum;
  let bits = entropy(chanceOfOil);
  for (let source = 0; source < size; source++) {
    if (chanceOfMain[source] > 0)
      bits -= (chanceOfMain[source] / sum) * entropy(oilAndMain[source] / chanceOfMain[source]);
  }
  return { bits: Math.max(0, bits), chanceOfOil };
}

/** Bits of a yes-or-no with the given chance of yes. */
function entropy(chance: number): number {
  const term = (part: number) => (part > 0 ? -part * Math.log2(part) : 0);
  return term(chance) + term(1 - chance);
}
