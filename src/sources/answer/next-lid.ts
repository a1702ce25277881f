import { type Drainage, flowIndexOf, upstreamOf } from '../../drainage/index.ts';
import { byId, type Position, type StructureKind, type WalkingGround, walkingGround } from '../../site-map/index.ts';
import type { Draws } from '../draws/draw-table.ts';
import { DEFAULT_MISREAD, DEFAULT_NOTICE_LITRES } from '../findings/findings.ts';
import { noticed } from '../model/likelihood.ts';
import { isSeen } from '../question/observation.ts';
import type { Question } from '../question/question.ts';
import { mainSources } from './shares.ts';

/**
 * A structure worth opening: how much the look would tell about the main source, in bits from 0 to 1, and the chance, 0 to 1, that
 * oil is said there, rightly or wrongly. 1 bit halves what is left to search.
 */
export interface NextLid {
  at: string;
  bits: number;
  chanceOfOil: number;
  /** Minutes on foot from where the walker stands; infinite where there is no way; null when that place is not known. */
  minutes: number | null;
}

/** Which lid to lift, and which ones after that, by what was seen: three deep. Minutes are from the lid before. */
export interface LidPlan extends NextLid {
  ifOil: LidPlan | null;
  ifClean: LidPlan | null;
}

/** Structures a crew can look into by lifting a lid or a grate. */
const LID_KINDS: readonly StructureKind[] = ['catch-basin', 'trench-drain', 'manhole'];
/** The ranking thins the draws so as to stay within some so many steps. */
const MOST_STEPS = 20_000_000;
/** A lid that would tell less is not worth the walk. */
const LEAST_BITS = 1e-4;
/** How many lids are planned ahead. */
const PLANNED = 3;
/** What it takes to open a lid, look and close it again, on top of the walk. A guess. */
export const OPENING_MINUTES = 3;

/** A lid that was not opened yet, with the chance, in each draw, that oil is said there. */
interface UnopenedLid {
  at: string;
  position: Position;
  saysOil: Float64Array;
}

/** What a ranking rests on: the main source of each draw, numbered among those that ever are it, how many those are, and the walk. */
interface Hunt {
  main: Int32Array;
  sources: number;
  /** null: it is not known where the walker stands. */
  ground: WalkingGround | null;
}

/** What has been learned so far, as weights of the draws, and where the walker stands. */
interface LidPlanState {
  weight: Float64Array;
  start: Position | null;
}

/**
 * Ranks every lid that oil on its way to the point can pass and that was not opened yet by the mutual information, in
 * bits, between what would be said there (clean or oil, wrong now and then) and which source is the main one; where
 * it is known where the walker stands, by bits per minute of walking and opening. Without a point, every lid of the
 * map. Best first; a lid that tells nothing has 0 bits. The plan takes the best lid, and, standing there, the best one
 * after each of its two answers, told by weighing the draws with that answer, three lids deep.
 * O(lids × (edges + draws × sources)), the draws thinned so that it stays within some 20 million steps.
 *
 * What a look would say is reckoned from the litres of the target's window, with default `holds`, without rain, and with the
 * notice and misreading of a look that states none. Mutual information is the entropy of the answer less its mean entropy once the
 * main source is known: a lid where oil is certain or impossible tells nothing, nor does one whose oil is as likely whichever
 * zone it was. On a line of equal zones and one spill it picks the middle, which takes as few looks as any order can (Knuth,
 * volume 3; held by a test).
 *
 * It looks one answer ahead at a time: the best next look is not always the first of the best three. Bits are
 * estimated from the draws, so lids that differ by a hundredth of a bit are as good as each other, and the plan's last lids, after
 * two answers, rest on what is left of the draws that fit these.
 */
export function rankLids(
  drainage: Drainage,
  question: Question,
  draws: Draws,
): { lids: NextLid[]; plan: LidPlan | null } {
  const looks = looksAt(drainage, question, draws);
  const sources = question.evidence.sources.length;
  const ground = question.from && walkingGround(drainage.map);
  const main = mainSources(draws, sources);
  const ever = [...new Set(main)];
  const numbers = new Int32Array(sources);
  ever.forEach((source, number) => {
    numbers[source] = number;
  });
  const hunt: Hunt = { main: main.map((source) => numbers[source]), sources: ever.length, ground };
  const standing: LidPlanState = { weight: new Float64Array(draws.count).fill(1), start: question.from };
  return {
    lids: rank(looks, hunt, standing).map(({ lid }) => lid),
    plan: planLids(looks, hunt, { ...standing, lids: PLANNED }),
  };
}

/**
 * The lids that are candidates, each with the chance in every draw (or every so manieth) that oil is said there: with v the litres that
 * enter there, noticed and read aright, or not there and misread. Unmapped oil comes out at one structure and passes no other.
 */
function looksAt(drainage: Drainage, { at, evidence }: Question, draws: Draws): UnopenedLid[] {
  const { map } = drainage;
  const { sources, findings } = evidence;
  const indexOf = (id: string) => flowIndexOf(drainage, id);
  const above = at === null ? null : upstreamOf(drainage, indexOf(at)).reaches;
  const opened = new Set(findings.filter(isSeen).map(({ at }) => at));
  const lids = map.structures.filter(
    ({ id, kind }) =>
      LID_KINDS.includes(kind) && id !== at && !opened.has(id) && (above === null || above[indexOf(id)] === 1),
  );
  const stride = Math.max(1, Math.ceil((lids.length * sources.length * draws.count) / MOST_STEPS));
  const indices = sources.map(({ zone }) => (zone ? indexOf(zone.id) : -1));
  return lids.map(({ id, position }) => {
    const { delivered } = upstreamOf(drainage, indexOf(id));
    const ways = indices.flatMap((index, source) =>
      index >= 0 && delivered[index] > 0 ? [{ part: delivered[index], source }] : [],
    );
    const saysOil = new Float64Array(Math.ceil(draws.count / stride));
    for (let draw = 0, at = 0; draw < draws.count; draw += stride, at++) {
      let litres = 0;
      for (const { part, source } of ways) litres += part * draws.released[draw * sources.length + source];
      const oil = noticed(litres, DEFAULT_NOTICE_LITRES);
      saysOil[at] = oil * (1 - DEFAULT_MISREAD.oil) + (1 - oil) * DEFAULT_MISREAD.oil;
    }
    return { at: id, position, saysOil };
  });
}

/** The looks with what each is worth, best first. */
function rank(
  looks: readonly UnopenedLid[],
  hunt: Hunt,
  { weight, start }: LidPlanState,
): { look: UnopenedLid; lid: NextLid }[] {
  const ends = looks.map(({ position }) => position);
  const minutes = start && hunt.ground?.minutesFrom(start, ends);
  return looks
    .map((look, at) => ({ look, lid: { at: look.at, ...tells(look, hunt, weight), minutes: minutes?.[at] ?? null } }))
    .sort(({ lid: a }, { lid: b }) => worthOf(b) - worthOf(a) || b.bits - a.bits || byId(a.at, b.at));
}

/** Bits per minute where the walk is known, else bits. */
const worthOf = ({ bits, minutes }: NextLid) => (minutes === null ? bits : bits / (minutes + OPENING_MINUTES));

/** The best lid from here and, standing there, the best after each answer, as many deep as `lids` says. */
function planLids(
  looks: readonly UnopenedLid[],
  hunt: Hunt,
  { weight, start, lids }: LidPlanState & { lids: number },
): LidPlan | null {
  const [best] = lids > 0 ? rank(looks, hunt, { weight, start }) : [];
  if (!best || best.lid.bits < LEAST_BITS || best.lid.minutes === Infinity) return null;
  const { saysOil, position } = best.look;
  const others = looks.filter((look) => look !== best.look);
  const after = (chance: Float64Array) =>
    planLids(others, hunt, {
      weight: chance.map((says, draw) => weight[draw] * says),
      start: start && position,
      lids: lids - 1,
    });
  return { ...best.lid, ifOil: after(saysOil), ifClean: after(saysOil.map((oil) => 1 - oil)) };
}

/**
 * Mutual information between the answer and the main source, H(oil) − Σ P(source)·H(oil | source), in bits, and the chance of oil, from
 * weighed draws. Information is never below 0; what comes out below is rounding.
 */
function tells(
  { saysOil }: UnopenedLid,
  { main, sources }: Hunt,
  weight: Float64Array,
): Pick<NextLid, 'bits' | 'chanceOfOil'> {
  const stride = Math.ceil(main.length / saysOil.length);
  const chanceOfMain = new Float64Array(sources);
  const oilAndMain = new Float64Array(sources);
  let [sum, oil] = [0, 0];
  for (let at = 0; at < saysOil.length; at++) {
    const source = main[at * stride];
    const both = weight[at] * saysOil[at];
    sum += weight[at];
    oil += both;
    chanceOfMain[source] += weight[at];
    oilAndMain[source] += both;
  }
  const chanceOfOil = oil / sum;
  let bits = entropy(chanceOfOil);
  chanceOfMain.forEach((chance, source) => {
    if (chance > 0) bits -= (chance / sum) * entropy(oilAndMain[source] / chance);
  });
  return { bits: Math.max(0, bits), chanceOfOil };
}

/** Bits of a yes-or-no with the given chance of yes. */
const entropy = (chance: number) => surprise(chance) + surprise(1 - chance);

/** −p·log₂ p, with its limit 0 at p = 0. */
const surprise = (part: number) => (part > 0 ? -part * Math.log2(part) : 0);
