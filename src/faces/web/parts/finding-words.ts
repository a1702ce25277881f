import { told } from '../../../catalogue/index.ts';
import { foundOil } from '../../../sources/index.ts';
import { saidWords } from '../../../words/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { say, voice } from '../state/voice.ts';

/** "About 43 mL, likely 13 mL to 0.14 L.": an amount that was worked out, with its factor. */
export function aboutWords(litres: number, factor: number): string {
  const volume = { litres };
  if (litres === 0 || factor <= 1) return say('parts.about', { volume });
  return say('parts.about-likely', { volume, low: { litres: litres / factor }, high: { litres: litres * factor } });
}

/** What was seen: "clean", "oil, diesel", "3.7 gal of diesel". `litres` is what an amount comes to; null where that is not known yet. */
export function seenWords(finding: FindingSource, litres: number | null): string {
  const { fluid } = finding;
  const seen = seenAlone(finding, litres);
  if (!fluid || !foundOil(finding)) return seen;
  const isMeasured = finding.amount !== undefined || finding.event !== undefined;
  return say(isMeasured ? 'parts.seen-of' : 'parts.seen-fluid', { seen, fluid: told(`things.fluid-${fluid}`) });
}

function seenAlone(finding: FindingSource, litres: number | null): string {
  const { amount, event } = finding;
  if (event) return say('parts.release-of', { volume: { litres: event.litres } });
  if (!amount || litres === null) return saidWords(finding, voice.value);
  return litres === 0 ? say('parts.nothing-measured') : voice.value.text({ litres });
}

/** The days between which oil came: "15 Jun – 14 Sept 2026"; a day that is not one stands as it is. */
export function windowWords({ since, seenAt }: Pick<FindingSource, 'since' | 'seenAt'>): string {
  const [from, to] = [since, seenAt].map((day) => Date.parse(`${day.slice(0, 10)}T00:00:00Z`));
  if (Number.isNaN(from) || Number.isNaN(to)) return `${since} – ${seenAt}`;
  return new Intl.DateTimeFormat(voice.value.locale, { dateStyle: 'medium', timeZone: 'UTC' }).formatRange(from, to);
}
