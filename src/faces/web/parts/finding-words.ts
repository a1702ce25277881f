import { foundOil } from '../../../sources/index.ts';
import { formatNumber, formatVolume, LITRES_PER_GALLON, type Units } from '../../../units/index.ts';
import { saidWords, shortDay } from '../../../words/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { voice } from '../state/voice.ts';
import { FLUID_WORDS } from './kind-words.ts';

const OUNCES_PER_GALLON = 128;
/** Below so much a volume is written in the smaller unit, so that a film is not told as "0.01". */
const SMALL_LITRES = 0.5;

/** "9.00 L" as "9 L": zeros would claim more than was measured. */
export const withoutZeros = (volume: string): string =>
  volume.replace(/\.(\d*?)0+(?= )/, (_, kept: string) => (kept ? `.${kept}` : ''));

/** A volume in few words; a small one in mL or fluid ounces. */
export function volumeWords(litres: number, units: Units): string {
  if (litres === 0 || litres >= SMALL_LITRES) return withoutZeros(formatVolume(litres, units));
  const [value, unit] =
    units === 'si' ? [litres * 1000, 'mL'] : [(litres / LITRES_PER_GALLON) * OUNCES_PER_GALLON, 'fl oz'];
  return withoutZeros(`${formatNumber(value, value < 1 ? 2 : value < 10 ? 1 : 0)} ${unit}`);
}

/** "About 43 mL, likely 13 to 143 mL": an amount that was worked out, with its factor. */
export function aboutWords(litres: number, factor: number, units: Units): string {
  const about = `About ${volumeWords(litres, units)}`;
  if (litres === 0 || factor <= 1) return `${about}.`;
  return `${about}, likely ${volumeWords(litres / factor, units)} to ${volumeWords(litres * factor, units)}.`;
}

/** What was seen: "clean", "oil, diesel", "3.7 gal of diesel". `litres` is what an amount comes to; null where that is not known yet. */
export function seenWords(finding: FindingSource, litres: number | null, units: Units): string {
  const { amount, event, fluid } = finding;
  const measured = litres === 0 ? 'nothing measured' : litres !== null && volumeWords(litres, units);
  const what = event
    ? `a release of ${volumeWords(event.litres, units)}`
    : (amount && measured) || saidWords(finding, voice.value);
  if (!fluid || !foundOil(finding)) return what;
  const name = FLUID_WORDS[fluid];
  return amount || event ? `${what} of ${name}` : `${what}, ${name}`;
}

/** "15 June to 14 Sept 2026"; a day that is not one stands as it is. */
export function windowWords({ since, seenAt }: Pick<FindingSource, 'since' | 'seenAt'>): string {
  const isSameYear = since.slice(0, 4) === seenAt.slice(0, 4);
  return `${shortDay(since, !isSameYear, voice.value)} to ${shortDay(seenAt, true, voice.value)}`;
}
