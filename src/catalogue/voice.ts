import { setupI18n } from '@lingui/core';
import {
  LITRES_PER_GALLON,
  METRES_PER_FOOT,
  MM_PER_INCH,
  SQUARE_METRES_PER_ACRE,
  type Units,
  worth,
} from '../units/index.ts';
import type { Key, Language, Messages } from './compiled/index.ts';
import { isTold, type Text, type Told, type ValuesOf } from './told.ts';

/** What a site says of how its people are spoken to. */
export interface SiteHabits {
  /** US customary units, and the habits of the United States for numbers, dates and money; left out, SI. */
  units?: Units;
  /** ISO 4217; left out, USD. */
  currency?: string;
}

/** Says messages of the catalogue in one language, with the units and the money of one site. */
export interface Voice {
  readonly language: Language;
  readonly units: Units;
  readonly currency: string;
  /** The language and the region whose habits numbers and dates follow: "es-US". */
  readonly locale: string;
  say<K extends Key>(key: K, ...values: ValuesOf<K>): string;
  tell(told: Told): string;
  /** A text, message, quantity or list as it stands in a sentence. */
  text(value: Text): string;
  /** A number with so many decimals, none where they are left out. */
  number(value: number, digits?: number): string;
  /** "A, B and C". */
  list(texts: readonly Text[]): string;
  /** A message whose tags set parts of it off, as its parts in order: "Lift <b>{at}</b>" is "Lift " and, with the tag "b", the place. */
  parts<K extends Key>(key: K, ...values: ValuesOf<K>): Part[];
}

/** A text with its first letter as a sentence begins with it, in a language or locale. */
export const capital = (text: string, locale: string): string =>
  text.charAt(0).toLocaleUpperCase(locale) + text.slice(1);

/** A piece of a message, with the tag round it where it has one. */
export interface Part {
  readonly text: string;
  readonly tag?: string;
}

const SECONDS_PER_MINUTE = 60;

/**
 * A voice from the compiled messages of its language. Cost: a few objects of Intl, made when they are first asked for.
 */
export function voiceOf(
  { language, messages }: { language: Language; messages: Messages },
  { units = 'si', currency = 'USD' }: SiteHabits = {},
): Voice {
  const locale = localeOf(language, units);
  const i18n = setupI18n({ locale: language, locales: [locale], messages: { [language]: messages } });
  const numbers = memo((digits: number) => {
    return new Intl.NumberFormat(locale, { minimumFractionDigits: digits, maximumFractionDigits: digits });
  });
  const digitsOf = memo((most: number) => new Intl.NumberFormat(locale, { maximumFractionDigits: most }));
  const lists = memo((type: 'conjunction' | 'disjunction') => new Intl.ListFormat(locale, { type }));
  const money = memo(
    (code: string) => new Intl.NumberFormat(locale, { style: 'currency', currency: code, maximumFractionDigits: 0 }),
  );
  const percent = memo((_: 'percent') => new Intl.NumberFormat(locale, { style: 'percent' }));
  const days = memo((_: 'medium') => new Intl.DateTimeFormat(locale, { dateStyle: 'medium', timeZone: 'UTC' }));

  const number = (value: number, digits = 0) => numbers(digits).format(value);
  /** Three significant digits, without noughts that say nothing. */
  const tidy = (value: number) => digitsOf(digitsFor(value)).format(value);
  const small = (value: number, least: number) => (value < least ? `<${tidy(least)}` : tidy(value));
  const unit = (name: UnitName, amount: string) => say(`units.${name}`, { amount });
  const isUs = units === 'us';

  function say<K extends Key>(key: K, ...[values]: ValuesOf<K>): string {
    return values === undefined ? i18n._(key) : i18n._(key, written(values));
  }

  const tell = (message: Told): string => i18n._(message.told, written(message.values ?? {}));

  const written = (values: object): Record<string, string | number> =>
    Object.fromEntries(
      Object.entries(values).map(([name, value]) => [name, typeof value === 'number' ? value : asIs(text(value))]),
    );

  function text(value: Text): string {
    if (typeof value === 'string') return value;
    if (isTold(value)) return tell(value);
    if ('litres' in value) return volume(value.litres);
    if ('metres' in value)
      return isUs ? unit('ft', number(value.metres / METRES_PER_FOOT)) : unit('m', number(value.metres));
    if ('millimetres' in value) return depth(value.millimetres);
    if ('squareMetres' in value) return area(value.squareMetres);
    if ('lps' in value) return flow(value.lps);
    if ('mmPerHour' in value)
      return isUs ? unit('in-h', number(value.mmPerHour / MM_PER_INCH, 2)) : unit('mm-h', number(value.mmPerHour, 1));
    if ('money' in value) return money(currency).format(value.money);
    if ('about' in value) return about(value.about, value.digits);
    if ('share' in value) return share(value.share);
    if ('day' in value) return day(value.day);
    if ('number' in value) return number(value.number, value.digits);
    return 'list' in value ? list(value.list) : lists('disjunction').format(value.choice.map(text));
  }

  const list = (texts: readonly Text[]) => lists('conjunction').format(texts.map(text));

  function volume(litres: number): string {
    if (isUs) {
      const gallons = litres / LITRES_PER_GALLON;
      return unit('gal', gallons > 0 ? small(gallons, 0.01) : tidy(gallons));
    }
    return litres > 0 && litres < 0.1 ? unit('ml', small(litres * 1000, 0.1)) : unit('l', tidy(litres));
  }

  const depth = (mm: number) =>
    isUs ? unit('in', number(mm / MM_PER_INCH, 2)) : unit('mm', number(mm, mm < 10 && mm % 1 !== 0 ? 1 : 0));

  function area(squareMetres: number): string {
    if (!isUs)
      return squareMetres >= 10_000 ? unit('ha', number(squareMetres / 10_000, 2)) : unit('m2', number(squareMetres));
    return squareMetres >= SQUARE_METRES_PER_ACRE
      ? unit('ac', number(squareMetres / SQUARE_METRES_PER_ACRE, 2))
      : unit('ft2', number(squareMetres / METRES_PER_FOOT ** 2));
  }

  function flow(lps: number): string {
    const each = isUs ? (lps * SECONDS_PER_MINUTE) / LITRES_PER_GALLON : lps;
    return unit(isUs ? 'gpm' : 'l-s', number(each, each > 0 && each < 10 ? 1 : 0));
  }

  const about = (amount: number, digits?: number) =>
    say('units.about', { amount: money(currency).format(worth(amount, digits)) });

  /** "<1%" and ">99%" keep a small chance from reading as none, or a large one as certain. */
  function share(fraction: number): string {
    const format = percent('percent');
    if (fraction > 0 && fraction < 0.005) return `<${format.format(0.01)}`;
    return fraction < 1 && fraction >= 0.995 ? `>${format.format(0.99)}` : format.format(fraction);
  }

  /** What follows the day in a text is passed over, and what is no day stands as it is. */
  function day(written: string): string {
    const ms = Date.parse(`${written.slice(0, 10)}T00:00:00Z`);
    return Number.isNaN(ms) ? written : days('medium').format(ms);
  }

  function parts<K extends Key>(key: K, ...[values]: ValuesOf<K>): Part[] {
    const marked = values === undefined ? {} : marks(written(values));
    return i18n
      ._(key, marked)
      .split(TAGGED)
      .flatMap((piece, at, pieces): Part[] => {
        if (at % 3 === 1) return [];
        const text = piece.replaceAll(LESS_THAN, '<');
        return text === '' ? [] : [at % 3 === 2 ? { text, tag: pieces[at - 1] } : { text }];
      });
  }

  return { language, units, currency, locale, say, tell, text, number, list, parts };
}

/** The units that a quantity is written in. */
type UnitName =
  | 'gal'
  | 'l'
  | 'ml'
  | 'ft'
  | 'm'
  | 'in'
  | 'mm'
  | 'ac'
  | 'ha'
  | 'ft2'
  | 'm2'
  | 'gpm'
  | 'l-s'
  | 'in-h'
  | 'mm-h';

const TAGGED = /<([a-z]+)>(.*?)<\/\1>/s;
/** A letter of nobody's alphabet stands for what could be read as a tag of a name. */
const LESS_THAN = '\uE000';

const marks = (values: Record<string, string | number>) =>
  Object.fromEntries(
    Object.entries(values).map(([name, value]) => [
      name,
      typeof value === 'string' ? value.replaceAll('<', LESS_THAN) : value,
    ]),
  );

/** English without a region is that of the United States; other languages are then those of all their lands. */
function localeOf(language: Language, units: Units): string {
  if (units === 'us') return `${language}-US`;
  return language === 'en' ? 'en-GB' : language;
}

function digitsFor(value: number): number {
  const size = Math.abs(value);
  if (size >= 100 || size === 0) return 0;
  return size >= 10 ? 1 : 2;
}

/** A backslash is doubled up, since the library reads \u and \x in what it has put together as the letters they stand for. */
const asIs = (text: string) => (text.includes('\\') ? text.replaceAll('\\', '\\u005c') : text);

function memo<K, V>(make: (key: K) => V): (key: K) => V {
  const made = new Map<K, V>();
  return (key) => {
    const known = made.get(key) ?? make(key);
    made.set(key, known);
    return known;
  };
}
