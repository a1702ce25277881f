import type { Voice } from '../catalogue/index.ts';

/**
 * A calendar day in words, "Feb 20", with its year where it is not that of `today`. Days are written YYYY-MM-DD; what follows
 * them in a text is passed over, and what is no day stands as it is.
 */
export function dayWords(day: string, today: string, voice: Voice): string {
  if (day.slice(0, 4) !== today.slice(0, 4)) return voice.text({ day });
  const ms = Date.parse(`${day.slice(0, 10)}T00:00:00Z`);
  return Number.isNaN(ms) ? day : noYear(voice.locale).format(ms);
}

const formats = new Map<string, Intl.DateTimeFormat>();

function noYear(locale: string): Intl.DateTimeFormat {
  const format =
    formats.get(locale) ?? new Intl.DateTimeFormat(locale, { day: 'numeric', month: 'short', timeZone: 'UTC' });
  formats.set(locale, format);
  return format;
}
