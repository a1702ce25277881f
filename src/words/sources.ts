import type { Voice } from '../catalogue/index.ts';
import { INLET_KINDS, type StructureKind } from '../site-map/index.ts';
import type { LidPlan, Reason, SourcesAnswer, ZoneShare } from '../sources/index.ts';
import { wholeMinutes } from './minutes.ts';

/** A range wider than this says little more than nothing. */
const WIDE = 0.9;

/** Whole percent of a share, for a range inside a sentence: 62. */
const percent = (share: number) => Math.round(share * 100);

/** Whether oil was found that nothing on the map explains well. */
export const isUnexplained = ({ zones, unmapped, isOily }: SourcesAnswer): boolean =>
  isOily && (zones.length === 0 || unmapped.main > zones[0].main);

/** Below this chance of being the main source the first zone does not stand out. */
const STANDS_OUT = 0.35;

/** The answer in one sentence. `nameOf` gives a zone's name; where no zone is likely, the sentence says so. */
export function sourcesSentence(answer: SourcesAnswer, nameOf: (id: string) => string, voice: Voice): string {
  const { at, zones, isOily } = answer;
  const [first] = zones;
  if (!isOily) return at === null ? voice.say('answers.none-seen') : voice.say('answers.none-seen-at', { at });
  if (isUnexplained(answer)) return voice.say('answers.unexplained', { at: at ?? '' });
  const isAlone = first.main >= STANDS_OUT;
  const [zone, share] = [nameOf(first.id), { share: first.share }];
  if (first.high - first.low > WIDE)
    return voice.say(isAlone ? 'answers.best-guess' : 'answers.none-leads-wide', { zone, share });
  const range = { low: percent(first.low), high: percent(first.high) };
  return voice.say(isAlone ? 'answers.most-likely' : 'answers.none-leads', { zone, share, ...range });
}

/** What kind of structure stands under an id: a grate and a manhole are opened with other words. */
export type KindOf = (id: string) => StructureKind | undefined;

/** What is lifted at a place: in English its id, in other languages the grate or the lid of it. */
export function lidWords(at: string, kindOf: KindOf, voice: Voice): string {
  const kind = kindOf(at);
  return voice.say('things.lid-of', { at, lid: kind && INLET_KINDS.includes(kind) ? 'grate' : 'lid' });
}

/**
 * What protects whoever lifts it, to stand before the order: what lies below is not known, so it is met as fuel; a grate also lies
 * in the traffic.
 */
export function lidCare(at: string, kindOf: KindOf, voice: Voice): string[] {
  const kind = kindOf(at);
  const isGrate = kind !== undefined && INLET_KINDS.includes(kind);
  return [...(isGrate ? [voice.say('spill.before-grate')] : []), voice.say('spill.before-lid-fuel')];
}

/** A lid that tells less than this, in bits, is not worth lifting. */
const LEAST_BITS = 0.01;

/**
 * What to do about it: what protects people, the order, what the chance of oil there is and how far it is, and what it is worth; null where no lid is
 * left that would tell anything, or none can be walked to.
 */
export function nextLidWords(
  { nextLids: [best] }: SourcesAnswer,
  kindOf: KindOf,
  voice: Voice,
): { care: string[]; order: string; chance: string; worth: string } | null {
  if (!best || best.bits < LEAST_BITS || best.minutes === Infinity) return null;
  return {
    care: lidCare(best.at, kindOf, voice),
    order: voice.say('answers.lift-order', { lid: lidWords(best.at, kindOf, voice) }),
    chance: voice.say('answers.lift-chance', { ...walkOf(best.minutes), chance: { share: best.chanceOfOil } }),
    worth: worthWords(best.bits, voice),
  };
}

/** The same in a line, starting with a verb; or that no lid can be walked to; null where no lid is left that would tell anything. */
export function nextLidSentence({ nextLids: [best] }: SourcesAnswer, kindOf: KindOf, voice: Voice): string | null {
  if (!best || best.bits < LEAST_BITS) return null;
  if (best.minutes === Infinity) return voice.say('answers.no-walk-to-lids');
  const lid = lidWords(best.at, kindOf, voice);
  const order = voice.say('answers.lift', { lid, ...walkOf(best.minutes), chance: { share: best.chanceOfOil } });
  return `${order} ${worthWords(best.bits, voice)}`;
}

/** From so many bits on, a look tells about as much as one can. */
const HALVES = 0.8;
const NARROWS = 0.3;

const worthWords = (bits: number, voice: Voice) =>
  voice.say(bits > HALVES ? 'answers.lift-halves' : bits > NARROWS ? 'answers.lift-narrows' : 'answers.lift-little');

/** With fewer minutes on foot than this the walker already stands there. */
const HERE_MINUTES = 0.05;

/** A walk, rounded up, for messages that choose by `walk` and write `minutes`. */
function walkOf(minutes: number | null): { walk: 'none' | 'here' | 'minutes'; minutes: number } {
  if (minutes === null) return { walk: 'none', minutes: 0 };
  return minutes < HERE_MINUTES ? { walk: 'here', minutes: 0 } : { walk: 'minutes', minutes: wholeMinutes(minutes) };
}

/** "4 min walk", rounded up. */
export function walkWords(minutes: number, voice: Voice): string {
  if (minutes === Infinity) return voice.say('minutes.walk-none');
  const { walk, minutes: count } = walkOf(minutes);
  return walk === 'here' ? voice.say('minutes.walk-here') : voice.say('minutes.walk', { count });
}

/** "Like one spill" to "like seepage", by how a typical release compares with what was expected in the window. */
export function releaseSentence({ release }: SourcesAnswer, voice: Voice): string {
  const litres = { litres: release.litres };
  if (release.given) return voice.say('answers.release-given', { litres });
  return voice.say('answers.release-inferred', {
    litres,
    low: { litres: release.low },
    high: { litres: release.high },
  });
}

export function howSureSentence({ method, effectiveDraws, isSure }: SourcesAnswer, voice: Voice): string {
  if (method === 'exact' || effectiveDraws === null) return voice.say('answers.sure-exact');
  // A share of one half has the widest standard error, 0.5 ÷ √draws; twice that holds 19 times in 20.
  const points = Math.max(1, Math.ceil(100 / Math.sqrt(effectiveDraws)));
  return voice.say(isSure ? 'answers.sure' : 'answers.rough', { points });
}

const MOST_REASONS = 3;

/**
 * Why a zone's odds are what they are, in one sentence, which begins with the name of the zone where one is given; null where no
 * look changed them. `lookOf` names a finding's place and what was seen.
 */
export function whySentence(
  { why }: ZoneShare,
  { lookOf, zone }: { lookOf: (finding: string) => string; zone?: string },
  voice: Voice,
): string | null {
  const list = (reasons: readonly Reason[]) =>
    reasons
      .slice(0, MOST_REASONS)
      .map(({ finding, times }) => reasonWords(lookOf(finding), times, voice))
      .join(', ');
  const raised = list(why.filter(({ times }) => times > 1));
  const lowered = list(why.filter(({ times }) => times < 1));
  if (raised === '' && lowered === '') return null;
  if (lowered === '')
    return zone === undefined
      ? voice.say('answers.why-raised', { raised })
      : voice.say('answers.why-raised-of', { raised, zone });
  if (raised === '')
    return zone === undefined
      ? voice.say('answers.why-lowered', { lowered })
      : voice.say('answers.why-lowered-of', { lowered, zone });
  return zone === undefined
    ? voice.say('answers.why-both', { raised, lowered })
    : voice.say('answers.why-both-of', { raised, lowered, zone });
}

/** What a finding did to the odds: "clean CB-6 (× 3.1)", "oil MH-12 (÷ 2.0)". */
const reasonWords = (look: string, times: number, voice: Voice) =>
  voice.say(times > 1 ? 'answers.reason-raised' : 'answers.reason-lowered', {
    look,
    times: { number: times > 1 ? times : 1 / times, digits: 1 },
  });

/** What to lift after the best lid and after that, one sentence for each of its answers; none where one lid is all. */
export function lidPlanSentences({ lidPlan }: SourcesAnswer, kindOf: KindOf, voice: Voice): string[] {
  if (!lidPlan || !(lidPlan.ifOil || lidPlan.ifClean)) return [];
  const { at, ifOil, ifClean } = lidPlan;
  const lid = (next: LidPlan) => lidWords(next.at, kindOf, voice);
  return [
    branchSentence({ seen: 'oily', at }, ifOil, lid, voice),
    branchSentence({ seen: 'clean', at }, ifClean, lid, voice),
  ];
}

function branchSentence(
  seen: { seen: 'oily' | 'clean'; at: string },
  plan: LidPlan | null,
  lid: (next: LidPlan) => string,
  voice: Voice,
): string {
  if (!plan) return voice.say('answers.plan-none', seen);
  const next = lid(plan);
  const { ifOil, ifClean } = plan;
  if (ifOil && ifOil.at === ifClean?.at) return voice.say('answers.plan-same', { ...seen, next, last: lid(ifOil) });
  if (ifOil && ifClean) return voice.say('answers.plan-both', { ...seen, next, oily: lid(ifOil), clean: lid(ifClean) });
  if (ifOil) return voice.say('answers.plan-if-oily', { ...seen, next, oily: lid(ifOil) });
  if (ifClean) return voice.say('answers.plan-if-clean', { ...seen, next, clean: lid(ifClean) });
  return voice.say('answers.plan-one', { ...seen, next });
}

/** Groups as sentences: which zones nothing seen so far can tell apart. */
export const groupSentences = ({ groups }: SourcesAnswer, nameOf: (id: string) => string, voice: Voice): string[] =>
  groups.map((ids) => voice.say('answers.cannot-tell-apart', { zones: ids.map(nameOf).join(', ') }));

/** Zones that are too far for a look within a day of the last clean one, a sentence for each look. */
export function ruledOutSentences({ ruledOut }: SourcesAnswer, nameOf: (id: string) => string, voice: Voice): string[] {
  const byFinding = new Map<string, typeof ruledOut>();
  for (const each of ruledOut) byFinding.set(each.finding, [...(byFinding.get(each.finding) ?? []), each]);
  return [...byFinding].map(([finding, zones]) =>
    voice.say('answers.too-far', {
      finding,
      window: Math.round(zones[0].windowMinutes),
      count: zones.length,
      zones: zones.map(({ id }) => nameOf(id)).join(', '),
      soonest: Math.floor(Math.min(...zones.map(({ minutes }) => minutes))),
    }),
  );
}

/** So much that came from something not on the map is said among what is assumed; more stands in the answer. */
const LITTLE = 0.2;

/** What the figures take for granted. */
export function assumedSentences({ unmapped, method }: SourcesAnswer, voice: Voice): string[] {
  const isLittle = unmapped.share > 0 && unmapped.share < LITTLE;
  return [
    ...(method === 'exact' ? [] : [voice.say('answers.assume-loads'), voice.say('answers.assume-holds')]),
    ...(isLittle ? [voice.say('answers.assume-unmapped')] : []),
  ];
}

/** The range of a share, in whole percent: "45 to 78". */
export const rangeWords = ({ low, high }: ZoneShare | SourcesAnswer['unmapped'], voice: Voice): string =>
  voice.say('answers.range', { low: percent(low), high: percent(high) });
