import { type Drainage, upstreamOf } from '../drainage/index.ts';
import { byId, type StructureKind } from '../site-map/index.ts';
import type { Draws } from './draws.ts';
import { DEFAULT_MISREAD, DEFAULT_NOTICE_LITRES } from './findings.ts';
import { noticed } from './likelihood.ts';
import type { Question } from './question.ts';

/** A structure worth opening: how much the look would tell about the main source, and the chance that oil is said. */
export interface NextLid {
  at: string;
  bits: number;
  chanceOfOil: number;
}

/** Which lid to lift, and which one after that, by what was seen. */
export interface LidPlan extends NextLid {
  ifOil: NextLid | null;
  ifClean: NextLid | null;
}

/** Structures a crew can look into by lifting a lid or a grate. */
const LID_KINDS: readonly StructureKind[] = ['catch-basin', 'trench-drain', 'manhole'];
/** The ranking thins the draws so as to stay within some so many steps. */
const MOST_STEPS = 20_000_000;
/** A lid that would tell less is not worth the walk. */
const LEAST_BITS = 1e-4;

/** Every lid that was not opened, with the chance, in each draw, that oil is said there. */
interface Look {
  at: string;
  saysOil: Float64Array;
}

/**
 * Ranks every lid that oil on its way to the point can pass and that was not opened yet by the mutual information, in
 * bits, between what would be said there (clean or oil, wrong now and then) and which source is the main one. Without
 * a point, every lid of the map. Best first; a lid that tells nothing has 0 bits.
 * O(lids × (edges + draws × sources)), the draws thinned so that it stays within some 20 million steps.
 */
export function rankLids(
  drainage: Drainage,
  question: Question,
  draws: Draws,
): { lids: NextLid[]; plan: LidPlan | null } {
  const looks = looksAt(drainage, question, draws);
  const main = mainSources(draws, question.evidence.sources.length);
  const even = new Float64Array(draws.count).fill(1);
  const lids = rank(looks, main, even);
  return { lids, plan: planLids(looks, main, lids[0]) };
}

function looksAt(drainage: Drainage, { at, evidence }: Question, draws: Draws): Look[] {
  const { map, order, nodeOf } = drainage;
  const { sources, findings } = evidence;
  const placeOf = (id: string) => order.placeOf[nodeOf.get(id) as number];
  const above = at === null ? null : upstreamOf(drainage, placeOf(at)).reaches;
  const opened = new Set(findings.filter(({ seen }) => seen !== 'unseen').map((finding) => finding.at));
  const lids = map.structures.filter(
    ({ id, kind }) =>
      LID_KINDS.includes(kind) && id !== at && !opened.has(id) && (above === null || above[placeOf(id)] === 1),
  );
  const stride = Math.max(1, Math.ceil((lids.length * sources.length * draws.count) / MOST_STEPS));
  return lids.map(({ id }) => {
    const { delivered } = upstreamOf(drainage, placeOf(id));
    const ways = sources.flatMap(({ zone }, source) => {
      const part = zone ? delivered[placeOf(zone.id)] : 0;
      return part > 0 ? [{ part, source }] : [];
    });
    const saysOil = new Float64Array(Math.ceil(draws.count / stride));
    for (let draw = 0, at = 0; draw < draws.count; draw += stride, at++) {
      let litres = 0;
      for (const { part, source } of ways) litres += part * draws.released[draw * sources.length + source];
      const oil = noticed(litres, DEFAULT_NOTICE_LITRES);
      saysOil[at] = oil * (1 - DEFAULT_MISREAD.oil) + (1 - oil) * DEFAULT_MISREAD.oil;
    }
    return { at: id, saysOil };
  });
}

/** The source with the largest share in each draw. */
export function mainSources({ count, share }: Pick<Draws, 'count' | 'share'>, size: number): Int32Array {
  const main = new Int32Array(count);
  for (let draw = 0; draw < count; draw++) {
    for (let source = 1; source < size; source++) {
      if (share[draw * size + source] > share[draw * size + main[draw]]) main[draw] = source;
    }
  }
  return main;
}

function rank(looks: readonly Look[], main: Int32Array, weight: Float64Array): NextLid[] {
  return looks
    .map((look) => ({ at: look.at, ...tells(look, main, weight) }))
    .sort((a, b) => b.bits - a.bits || byId(a.at, b.at));
}

/** The best lid, and the best one after each of its two answers, told by weighing the draws with that answer. */
function planLids(looks: readonly Look[], main: Int32Array, best: NextLid | undefined): LidPlan | null {
  if (!best || best.bits < LEAST_BITS) return null;
  const { saysOil } = looks.find(({ at }) => at === best.at) as Look;
  const others = looks.filter(({ at }) => at !== best.at);
  const after = (weight: Float64Array) => {
    const [next] = rank(others, main, weight);
    return next && next.bits >= LEAST_BITS ? next : null;
  };
  return { ...best, ifOil: after(saysOil), ifClean: after(saysOil.map((oil) => 1 - oil)) };
}

function tells({ saysOil }: Look, main: Int32Array, weight: Float64Array): Omit<NextLid, 'at'> {
  const stride = Math.ceil(main.length / saysOil.length);
  const chanceOfMain = new Map<number, number>();
  const oilAndMain = new Map<number, number>();
  let [sum, oil] = [0, 0];
  saysOil.forEach((says, at) => {
    const source = main[at * stride];
    sum += weight[at];
    oil += weight[at] * says;
    chanceOfMain.set(source, (chanceOfMain.get(source) ?? 0) + weight[at]);
    oilAndMain.set(source, (oilAndMain.get(source) ?? 0) + weight[at] * says);
  });
  const chanceOfOil = oil / sum;
  let bits = entropy(chanceOfOil);
  for (const [source, chance] of chanceOfMain) {
    if (chance > 0) bits -= (chance / sum) * entropy((oilAndMain.get(source) as number) / chance);
  }
  return { bits: Math.max(0, bits), chanceOfOil };
}

/** Bits of a yes-or-no with the given chance of yes. */
function entropy(chance: number): number {
  const term = (part: number) => (part > 0 ? -part * Math.log2(part) : 0);
  return term(chance) + term(1 - chance);
}
