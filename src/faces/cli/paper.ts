import type { Paper } from '../print/index.ts';
import { findChromium, printPdf } from '../print/index.ts';
import { InputError, UsageError } from './input.ts';
import { safe } from './print.ts';
import { world } from './world.ts';

/** What verbs that make pages have in common: what to write, on which sheet, by which Chromium. */

export function outIsPdf(out: string): boolean {
  if (/\.pdf$/i.test(out)) return true;
  if (/\.html?$/i.test(out)) return false;
  throw new UsageError(`--out is ${JSON.stringify(out)}; write a name that ends in .pdf or .html`);
}

export function paperWord(word: string): Paper {
  if (word === 'a4' || word === 'letter') return word;
  throw new UsageError(`--paper is ${JSON.stringify(word)}; write a4 or letter`);
}

/** The Chromium of this machine, or an InputError that says how to do without one. */
export function chromiumFor(verb: string): string {
  const chromium = findChromium(world().env);
  if (chromium) return chromium;
  throw new InputError([
    `${verb}: no Chromium was found to make a PDF with; write --out ${verb}.html and print that from a browser, or set CHROMIUM_PATH`,
  ]);
}

export function pdfOf(verb: string, chromium: string, page: string): Buffer {
  try {
    return printPdf(chromium, page);
  } catch (error) {
    throw new InputError([
      `${verb}: ${safe(chromium)} made no PDF (${safe(error instanceof Error ? error.message : String(error))}); write --out ${verb}.html and print that from a browser`,
    ]);
  }
}
