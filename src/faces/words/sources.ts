import type { SourcesAnswer, ZoneShare } from '../../sources/index.ts';
import { formatNumber, formatVolume, type Units } from '../../units/index.ts';

/** Whole percent of a share, for use inside a sentence: "62". */
const percent = (share: number) => String(Math.round(share * 100));

/** The answer in one sentence. `nameOf` gives a zone's name; a chance that speaks for no zone is said so. */
export function sourcesSentence(
  { at, zones, unmapped, finding }: SourcesAnswer,
  nameOf: (id: string) => string,
): string {
  const [first] = zones;
  if (!finding) {
    return at === null
      ? 'Nothing oily was found, so this is only what each zone is expected to release.'
      : `No oil was found at ${at}, so this is only what each zone is expected to send there.`;
  }
  if (!first || unmapped.main > first.main) {
    return `Nothing on this map explains oil in ${at} well. Look for a connection that was never drawn.`;
  }
  const range = `${percent(first.share)} %, somewhere between ${percent(first.low)} and ${percent(first.high)}`;
  if (first.main < 0.35) return `No single zone stands out. ${nameOf(first.id)} leads with ${range}.`;
  return `Most likely ${nameOf(first.id)}: ${range}.`;
}

/** What to do about it, starting with a verb; null where no lid is left that would tell anything. */
export function nextLidSentence({ nextLids }: SourcesAnswer): string | null {
  const [best] = nextLids;
  if (!best || best.bits < 0.01) return null;
  const worth =
    best.bits > 0.8
      ? 'Clean or oily, it halves the suspects.'
      : best.bits > 0.3
        ? 'Clean or oily, it narrows the suspects.'
        : 'It helps a little.';
  return `Lift ${best.at} next: oil there with a chance of ${percent(best.chanceOfOil)} %. ${worth}`;
}

/** "Like one spill" to "like seepage", by how a typical release compares with what was expected in the window. */
export function releaseSentence({ release }: SourcesAnswer, units: Units): string {
  if (release.given) return `A typical release is taken to be ${formatVolume(release.litres, units)}, as given.`;
  const [low, high] = [formatVolume(release.low, units), formatVolume(release.high, units)];
  return `A typical release: about ${formatVolume(release.litres, units)} (${low} to ${high}), inferred.`;
}

export function howSureSentence({ method, effectiveDraws }: SourcesAnswer): string {
  if (method === 'exact' || effectiveDraws === null) return 'Worked out exactly; nothing was drawn by chance.';
  const count = formatNumber(effectiveDraws);
  return effectiveDraws < 400
    ? `Worked out from draws worth only ${count}: take the figures as rough.`
    : `Worked out from draws worth ${count}: the figures are good to about a percent.`;
}

/** Groups as sentences: which zones nothing seen so far can tell apart. */
export function groupSentences({ groups }: SourcesAnswer, nameOf: (id: string) => string): string[] {
  return groups.map((ids) => `Nothing seen so far can tell these apart: ${ids.map(nameOf).join(', ')}.`);
}

/** What the figures take for granted. */
export function assumedSentences({ unmapped }: SourcesAnswer): string[] {
  const sentences = [
    'Yields by activity are rough, within a factor of 2 two times in three, where the map states none of a zone’s own.',
    'What a structure holds back is a guess where the map does not state it.',
  ];
  if (unmapped.share > 0) sentences.push('A little may have come from something that is not on the map.');
  return sentences;
}

/** The range of a share, in whole percent: "45 to 78". */
export function rangeWords({ low, high }: ZoneShare | SourcesAnswer['unmapped']): string {
  return `${percent(low)} to ${percent(high)}`;
}
