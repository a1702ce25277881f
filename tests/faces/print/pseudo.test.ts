import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { responseCard } from '../../../src/block/index.ts';
import { told, type Voice } from '../../../src/catalogue/index.ts';
import { compileDrainage } from '../../../src/drainage/index.ts';
import { cardsPage } from '../../../src/faces/print/cards/cards-page.tsx';
import type { EntryPhotos } from '../../../src/faces/print/report/photos.ts';
import { visitPage } from '../../../src/faces/print/report/visit-page.tsx';
import { visitReport } from '../../../src/faces/print/report/visit-report.ts';
import { yearPage } from '../../../src/faces/print/report/year-page.tsx';
import { yearRecord } from '../../../src/faces/print/report/year-record.ts';
import type { NewEntry } from '../../../src/log-book/index.ts';
import { problem, readSiteMap, type SiteMap } from '../../../src/site-map/index.ts';
import { escapedWords, pseudoVoice, textsIn } from '../../support/pseudo.ts';
import { yardMap } from '../../support/yard.ts';
import { STEPS_ALL } from './all-steps.ts';
import { correction, depot, entry, noPhotos, oil, printingOf, visit } from './made.ts';

/** What Intl says of itself beside the messages: the months. */
const MONTHS = Array.from({ length: 12 }, (_, month) =>
  ['es', 'es-US'].map((locale) =>
    new Intl.DateTimeFormat(locale, { month: 'short', timeZone: 'UTC' }).format(Date.UTC(2026, month, 5)),
  ),
).flat();

/** Words on a page, in what is read out of it and at its foot, that no message of the catalogue said. */
function escapedFrom(page: string, names: readonly string[]): string[] {
  const spoken = [...page.matchAll(/ (?:aria-label|alt)="([^"]*)"/g)].map(([, text]) => text);
  const foot = [...page.matchAll(/content:(.*?);white-space/g)].map(([, text]) =>
    text.replace(/counter\(pages?\)/g, ''),
  );
  const text = page.replace(/<style>.*?<\/style>/s, '').replace(/<[^>]*>/g, '');
  const all = [text, ...spoken, ...foot].map((each) => each.replaceAll('&amp;', '&').replaceAll('&lt;', '<'));
  return [...new Set(all.flatMap((each) => escapedWords(each, [...names, ...MONTHS, 'Oilshed'])))];
}

/** All cards of a yard. */
function cards(map: SiteMap, voice: Voice, more: { link?: string; litres?: number } = {}): string {
  const drainage = compileDrainage(map);
  const made = map.zones.flatMap(({ id }) => responseCard(drainage, id, { litres: more.litres }).card ?? []);
  const names = { siteName: map.site.name ?? 'Yard', day: '2026-06-01', mapVersion: '0123456789ab' };
  return cardsPage(made, { map, voice, ...names, link: more.link ?? null, paper: 'letter' });
}

describe('in a language that does not exist, nothing is said but by the catalogue', () => {
  const demos = ['freight-depot', 'gravel-haul-yard', 'two-bay-garage'];
  test.each(demos)('on the cards of %s', async (name) => {
    const { map } = readSiteMap(readFileSync(`site-maps/${name}.geojson`, 'utf8'));
    const page = cards(map, await pseudoVoice(map.site));
    expect(page).toContain('<html lang="es">');
    expect(escapedFrom(page, textsIn(map))).toEqual([]);
  });

  test('on cards of a yard without contacts, kits and crews, with gasoline, a link and litres that were asked for', async () => {
    const map = yardMap({
      zones: {
        Z1: { drainsTo: 'CB-1' },
        Z2: { drainsTo: 'CB-2', fluids: [{ fluid: 'gasoline', largestLitres: 60 }] },
        Z3: {},
      },
      structures: {
        'CB-1': { kind: 'catch-basin', setting: 'on-grade' },
        'CB-2': { kind: 'catch-basin' },
        'OUT-1': { kind: 'outfall' },
      },
      links: { P1: { from: 'CB-1', to: 'OUT-1' }, P2: { from: 'CB-2', to: 'OUT-1' } },
    });
    const link = 'https://yard.example/';
    const page = cards(map, await pseudoVoice(), { link, litres: 90 });
    expect(escapedFrom(page, [...textsIn(map), link])).toEqual([]);
    expect(escapedFrom(cards(map, await pseudoVoice()), textsIn(map))).toEqual([]);
  });

  const NOTE = 'Mbandaka';
  const at = (n: number, body = {}) => visit(n, `2026-${String(n).padStart(2, '0')}-10T10:40:00-07:00`, body);
  const story: NewEntry[] = [
    entry(1, { kind: 'action', at: '2026-01-05', body: { action: 'pump-out', at: 'SEP-1', litres: 180 } }),
    at(2, oil(5)),
    at(3, { note: NOTE.repeat(60), ...oil(61, STEPS_ALL) }),
    correction(4, 3, NOTE, '2026-04-02T09:00:00-06:00'),
    at(5, oil(16, { packs: 'adrift' })),
    at(6, oil(13)),
    at(7, { condition: { chambers: [5, 6, 7, 8].map((oilMm) => ({ oilMm, areaM2: 2 })) } }),
    at(8, { at: 'CB-2', seen: 'sheen' }),
    at(9),
    at(10, { at: undefined, note: NOTE }),
    entry(11, {
      kind: 'spill',
      at: '2026-06-01',
      body: { zone: 'Z1', litres: 200, fluid: 'diesel', reachedWater: true },
    }),
    entry(12, { kind: 'corrective', at: '2026-08-01', body: { due: '2026-09-01', note: NOTE } }),
  ].map((each) => JSON.parse(JSON.stringify(each)));
  const photos: EntryPhotos = {
    shown: [{ name: 'ab'.repeat(32), address: 'data:image/png;base64,' }],
    leftOut: ['report.photo-cannot-fit', 'report.photo-cannot-print', 'report.photo-cannot-trust'],
  };

  async function printed(map: SiteMap) {
    const voice = await pseudoVoice(map.site);
    const printing = printingOf(story, { map, voice });
    const hashes = [...printing.book.entries.map(({ hash }) => hash), printing.mapHash, printing.mapHash.slice(0, 12)];
    return { printing, names: [...textsIn(map), ...hashes, NOTE, 'J. Ortega', 'ab'.repeat(6), 'UTC'] };
  }

  test.each([2, 3, 5, 6, 7, 8, 9, 10])('in the report of the inspection of entry %i', async (seq) => {
    const { printing, names } = await printed(depot());
    const each = printing.book.entries[seq - 1];
    if (each.kind !== 'visit') throw new Error('that is no visit');
    const report = visitReport(each, printing);
    for (const shown of [noPhotos, photos]) expect(escapedFrom(visitPage(report, shown, printing), names)).toEqual([]);
  });

  test('in the record of a year, of one without entries, and of a book that was changed', async () => {
    const map = { ...depot(), site: { ...depot().site, inspectEveryDays: 30 } };
    const { printing, names } = await printed(map);
    const ofEntries = printing.book.entries.map((each) => ({
      entry: { ...each, photos: Array(9).fill('ab') },
      ...photos,
    }));
    const place = { id: null, field: null };
    const problems = [
      problem('chain-broken', place, {
        message: told('report.photo-gone', { name: 'ab' }),
        cure: told('report.photo-restore'),
      }),
    ];
    const changed = { ...printing, book: { ...printing.book, problems } };
    for (const [year, each] of [
      [2026, printing],
      [2019, printing],
      [2026, changed],
    ] as const)
      expect(escapedFrom(yearPage(yearRecord(year, each), ofEntries, each), names)).toEqual([]);
  });
});
