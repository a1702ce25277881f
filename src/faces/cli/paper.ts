import type { Paper } from '../print/index.ts';
import { findChromium, printPdf } from '../print/index.ts';
import { InputError, oneOf, UsageError } from './input.ts';
import { safe } from './print.ts';
import { say } from './voice.ts';
import { world } from './world.ts';

/** What verbs that make pages have in common: what to write, on which sheet, by which Chromium. */

export function outIsPdf(out: string): boolean {
  if (/\.pdf$/i.test(out)) return true;
  if (/\.html?$/i.test(out)) return false;
  throw new UsageError(say('cli-errors.out-ending', { word: JSON.stringify(out) }));
}

export const paperWord = (word: string): Paper => oneOf('--paper', word, ['a4', 'letter']);

/** The Chromium of this machine, or an InputError that says how to do without one. */
export function chromiumFor(verb: string): string {
  const chromium = findChromium(world().env);
  if (chromium) return chromium;
  throw new InputError([say('cli-errors.no-chromium', { verb, file: `${verb}.html` })]);
}

export function pdfOf(verb: string, chromium: string, page: string): Buffer {
  try {
    return printPdf(chromium, page);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new InputError([safe(say('cli-errors.no-pdf', { verb, chromium, error: why, file: `${verb}.html` }))]);
  }
}
