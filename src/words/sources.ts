import type { Voice } from '../catalogue/index.ts';
import type { StructureKind } from '../site-map/index.ts';
import type { LidPlan, Reason, SourcesAnswer, ZoneShare } from '../sources/index.ts';
import { takesMinutes } from './minutes.ts';

/** A range wider than this says little more than nothing. */
const WIDE = 0.9;

/** Whole percent of a share, for use inside a sentence: "62". */
const percent = (share: number) => String(Math.round(share * 100));

/** Whether oil was found that nothing on the map explains well. */
export const isUnexplained = ({ zones, unmapped, isOily }: SourcesAnswer): boolean =>
  isOily && (zones.length === 0 || unmapped.main > zones[0].main);

/** The answer in one sentence. `nameOf` gives a zone's name; where no zone is likely, the sentence says so. */
export function sourcesSentence(answer: SourcesAnswer, nameOf: (id: string) => string, _voice: Voice): string {
  const { at, zones, isOily } = answer;
  const [first] = zones;
  if (!isOily) {
    return at === null
      ? 'Nothing oily was found: this is what each zone may have released all the same.'
      : `No oil was found at ${at}: this is what each zone may have sent there all the same.`;
  }
  if (isUnexplained(answer)) {
    return `Nothing on this map explains oil in ${at} well. Look for a connection that was never drawn.`;
  }
  const isWide = first.high - first.low > WIDE;
  const range = isWide
    ? `${percent(first.share)} %, anything from none to all of it`
    : `${percent(first.share)} %, somewhere between ${percent(first.low)} and ${percent(first.high)}`;
  if (first.main < 0.35) return `No single zone stands out. ${nameOf(first.id)} leads with ${range}.`;
  return isWide ? `The best guess is ${nameOf(first.id)}: ${range}.` : `Most likely ${nameOf(first.id)}: ${range}.`;
}

/** What kind of structure stands under an id: a grate and a manhole are opened with other words. */
export type KindOf = (id: string) => StructureKind | undefined;

/** What to do about it, starting with a verb; null where no lid is left that would tell anything. */
export function nextLidSentence({ nextLids }: SourcesAnswer, _kindOf: KindOf, voice: Voice): string | null {
  const [best] = nextLids;
  if (!best || best.bits < 0.01) return null;
  if (best.minutes === Infinity) return 'No lid can be walked to from there.';
  const worth =
    best.bits > 0.8
      ? 'Clean or oily, it halves the suspects.'
      : best.bits > 0.3
        ? 'Clean or oily, it narrows the suspects.'
        : 'It helps a little.';
  const walk = best.minutes === null ? '' : `${walkWords(best.minutes, voice)}, `;
  return `Lift ${best.at} next: ${walk}oil there with a chance of ${percent(best.chanceOfOil)} %. ${worth}`;
}

/** With fewer minutes on foot than this the walker already stands there. */
const HERE_MINUTES = 0.05;

/** "4 min walk", rounded up. */
export function walkWords(minutes: number, voice: Voice): string {
  if (minutes === Infinity) return 'no way to walk there';
  return minutes < HERE_MINUTES ? 'right here' : `${takesMinutes(minutes, voice)} walk`;
}

/** "Like one spill" to "like seepage", by how a typical release compares with what was expected in the window. */
export function releaseSentence({ release }: SourcesAnswer, voice: Voice): string {
  if (release.given) return `A typical release is taken to be ${voice.text({ litres: release.litres })}, as given.`;
  const [low, high] = [voice.text({ litres: release.low }), voice.text({ litres: release.high })];
  return `A typical release: about ${voice.text({ litres: release.litres })} (${low} to ${high}), inferred.`;
}

export function howSureSentence({ method, effectiveDraws, isSure }: SourcesAnswer, _voice: Voice): string {
  if (method === 'exact' || effectiveDraws === null) return 'Worked out exactly; nothing was drawn by chance.';
  // A share of one half has the widest standard error, 0.5 ÷ √draws; twice that holds 19 times in 20.
  const points = Math.max(1, Math.ceil(100 / Math.sqrt(effectiveDraws)));
  return isSure
    ? `The figures are good to about ${points} points.`
    : `The figures are rough, good to no better than ${points} points: the draws they rest on do not agree well.`;
}

/**
 * Why a zone's odds are what they are, in one sentence, which begins with the name of the zone where one is given; null where no look
 * changed them. `lookOf` names a finding's place and what was seen.
 */
export function whySentence(
  { why }: ZoneShare,
  { lookOf, zone }: { lookOf: (finding: string) => string; zone?: string },
  voice: Voice,
): string | null {
  const say = (reasons: readonly Reason[]) =>
    reasons
      .slice(0, MOST_REASONS)
      .map(({ finding, times }) => `${lookOf(finding)} (${factorWords(times, voice)})`)
      .join(', ');
  const [raised, lowered] = [why.filter(({ times }) => times > 1), why.filter(({ times }) => times < 1)];
  const parts = [
    ...(raised.length > 0 ? [`raised by ${say(raised)}`] : []),
    ...(lowered.length > 0 ? [`lowered by ${say(lowered)}`] : []),
  ];
  if (parts.length === 0) return null;
  const text = parts.join('; ');
  return zone === undefined ? `${text[0].toUpperCase()}${text.slice(1)}.` : `${zone}: ${text}.`;
}

const MOST_REASONS = 3;

/** "× 3.1" or "÷ 2.0": what a finding did to the odds. */
function factorWords(times: number, voice: Voice): string {
  return times > 1 ? `× ${voice.number(times, 1)}` : `÷ ${voice.number(1 / times, 1)}`;
}

/** What to lift after the best lid and after that, one sentence for each of its answers; none where one lid is all. */
export function lidPlanSentences({ lidPlan }: SourcesAnswer, _kindOf: KindOf, _voice: Voice): string[] {
  if (!lidPlan || !(lidPlan.ifOil || lidPlan.ifClean)) return [];
  return [
    branchSentence(`If ${lidPlan.at} is oily,`, lidPlan.ifOil, ['if that is oily too', 'if it is clean']),
    branchSentence('If it is clean,', lidPlan.ifClean, ['if that is oily', 'if it is clean too']),
  ];
}

function branchSentence(when: string, next: LidPlan | null, [oily, clean]: [string, string]): string {
  if (!next) return `${when} no lid left tells more.`;
  const { at, ifOil, ifClean } = next;
  if (ifOil && ifOil.at === ifClean?.at) return `${when} lift ${at}, then ${ifOil.at}.`;
  const then = [...(ifOil ? [`${ifOil.at} ${oily}`] : []), ...(ifClean ? [`${ifClean.at} ${clean}`] : [])];
  return then.length > 0 ? `${when} lift ${at}; then ${then.join(', ')}.` : `${when} lift ${at}.`;
}

/** Groups as sentences: which zones nothing seen so far can tell apart. */
export function groupSentences({ groups }: SourcesAnswer, nameOf: (id: string) => string, _voice: Voice): string[] {
  return groups.map((ids) => `Nothing seen so far can tell these apart: ${ids.map(nameOf).join(', ')}.`);
}

/** Zones that are too far for a look within a day of the last clean one, a sentence for each look. */
export function ruledOutSentences(
  { ruledOut }: SourcesAnswer,
  nameOf: (id: string) => string,
  _voice: Voice,
): string[] {
  const byFinding = new Map<string, typeof ruledOut>();
  for (const each of ruledOut) byFinding.set(each.finding, [...(byFinding.get(each.finding) ?? []), each]);
  return [...byFinding].map(([finding, zones]) => {
    const soonest = Math.floor(Math.min(...zones.map(({ minutes }) => minutes)));
    const names = zones.map(({ id }) => nameOf(id)).join(', ');
    const are = zones.length === 1 ? 'is' : 'are';
    return `Too far to have got to ${finding} in ${Math.round(zones[0].windowMinutes)} min ${are} ${names}: that takes ${soonest} min or more.`;
  });
}

/** What the figures take for granted. */
export function assumedSentences({ unmapped, method }: SourcesAnswer, _voice: Voice): string[] {
  const sentences =
    method === 'exact'
      ? []
      : [
          'Yields by activity are rough, within a factor of 2 two times in three, where the map states none of a zone’s own.',
          'What a structure holds back is a guess where the map does not state it.',
        ];
  if (unmapped.share > 0 && unmapped.share < 0.2)
    sentences.push('A little may have come from something that is not on the map.');
  return sentences;
}

/** The range of a share, in whole percent: "45 to 78". */
export function rangeWords({ low, high }: ZoneShare | SourcesAnswer['unmapped'], _voice: Voice): string {
  return `${percent(low)} to ${percent(high)}`;
}
