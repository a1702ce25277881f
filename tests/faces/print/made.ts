import { readFileSync } from 'node:fs';
import { compileDrainage } from '../../../src/drainage/index.ts';
import type { Paper } from '../../../src/faces/print/binder.ts';
import { correctionsOf } from '../../../src/faces/print/report/book.ts';
import type { EntryPhotos } from '../../../src/faces/print/report/photos.ts';
import type { Printing } from '../../../src/faces/print/report/printing.ts';
import type { NewEntry } from '../../../src/log-book/index.ts';
import { readSiteMap, type SiteMap } from '../../../src/site-map/index.ts';
import { type Changes, chainOf, idOf, madeEntry, siteOf } from '../../log-book/made.ts';
import { ENGLISH } from '../../support/english.ts';

const DEPOT = readFileSync('site-maps/freight-depot.geojson', 'utf8');
export const depot = (): SiteMap => readSiteMap(DEPOT).map;

/** The n-th entry of a book, of any kind. */
export const entry = (n: number, changes: Changes): NewEntry => madeEntry(n, { body: {}, ...changes });

/** A visit to a separator of the freight depot (8.64 m², so that 1 mm is 8.64 L). */
export const visit = (n: number, at: string, body: Record<string, unknown> = {}): NewEntry =>
  entry(n, { at, body: { at: 'SEP-1', ...body } });
export const oil = (oilMm: number, more = {}) => ({ condition: { chambers: [{ oilMm, areaM2: 8.64 }], ...more } });

export const correction = (n: number, corrects: number, note: string, at = '2026-11-20T10:00:00-07:00'): NewEntry =>
  entry(n, { kind: 'correction', at, body: { corrects: idOf(corrects), note } });

/** What a report is made with: a book of these entries, printed on 25 November 2026. */
export function printingOf(
  entries: readonly NewEntry[],
  { map = depot(), paper = 'a4', ...more }: { map?: SiteMap; paper?: Paper } & Partial<Printing> = {},
): Printing {
  const chain = chainOf(entries);
  const last = chain.at(-1);
  return {
    drainage: compileDrainage(map),
    book: {
      site: siteOf('tarn-lane'),
      entries: chain,
      head: { site: siteOf('tarn-lane'), seq: chain.length, hash: last?.hash ?? null },
      corrections: correctionsOf(chain),
      problems: [],
    },
    voice: ENGLISH,
    siteName: map.site.name ?? 'a yard',
    timeZone: map.site.timeZone ?? 'UTC',
    nowMs: Date.parse('2026-11-25T12:00:00-07:00'),
    mapHash: `${'c0ffee'.repeat(10)}c0ff`,
    paper,
    ...more,
  };
}

export const noPhotos: EntryPhotos = { shown: [], leftOut: [] };

/** What a reader sees: no tags, no style. */
export const words = (page: string) =>
  page
    .replace(/<style>.*?<\/style>/s, '')
    .replace(/<[^>]*>/g, '')
    .replaceAll('&amp;', '&')
    .replace(/\s+/g, ' ');
