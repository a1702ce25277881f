import { describe, expect, test } from 'vitest';
import { visitPage } from '../../../src/faces/print/report/visit-page.tsx';
import { visitReport } from '../../../src/faces/print/report/visit-report.ts';
import type { NewEntry, SealedOf } from '../../../src/log-book/index.ts';
import { US_ENGLISH } from '../../support/english.ts';
import { STEPS_ALL } from './all-steps.ts';
import { correction, depot, entry, noPhotos, oil, printingOf, visit, words } from './made.ts';

/** The report of one entry of a book, by its number. */
function reportOf(entries: readonly NewEntry[], seq: number, more = {}) {
  const printing = printingOf(entries, more);
  const report = visitReport(printing.book.entries[seq - 1] as SealedOf<'visit'>, printing);
  return { report, printing, page: visitPage(report, noPhotos, printing) };
}

const pumpOut = (n: number, at: string) => entry(n, { kind: 'action', at, body: { action: 'pump-out', at: 'SEP-1' } });

describe('the report of a visit', () => {
  test('answers first: how full, what to do, by when; 9.4 mm on 8.64 m² is 81.2 L, of a limit of 219 L', () => {
    const { report, page } = reportOf(
      [visit(1, '2026-11-18T10:40:00-07:00', oil(9.4, { packs: 'adrift', sludgeMm: 20, sheenAtOutlet: false }))],
      1,
    );
    expect(report.state).toBe('fine');
    expect(report.due).toBe('2026-12-18');
    const said = words(page);
    expect(said).toContain(
      'Main separator was at 37% of its oil limit when seen. Fish the loose pillow out. Look again by 18 Dec 2026.',
    );
    expect(said).toContain('A loose pillow can block a pipe.');
    expect(said).toContain('9.4 mm, 81.2 L');
    expect(said).toContain('25 mm of oil (219 L), 152 mm of sediment, sorbent for 110 L');
    expect(said).toContain('18 Nov 2026, 10:40 (UTC−07:00), by J. Ortega');
    expect(said).toContain('1 reading up to this inspection is too few to say when it fills');
    expect(said).toContain('Seen 7 days before this was printed.');
    expect(said).not.toMatch(/complian|!/i);
  });

  test('every step has its words and its reason beside what was seen', () => {
    const { report, page } = reportOf([visit(1, '2026-11-18T10:40:00-07:00', oil(30, STEPS_ALL))], 1);
    expect(report.state).toBe('pump-out');
    const said = words(page);
    expect(said).toContain('Have Main separator pumped out now: oil and sediment were at their limits when seen.');
    for (const why of [
      'Oil has reached its limit. Sediment has reached its limit.',
      'A sheen there means that oil gets past.',
      'Soaked pillows take up no more oil.',
      'Debris can block the pipes.',
      'Damaged plates let oil through.',
      'Oily water can leak out through a crack.',
    ])
      expect(said).toContain(why);
    expect(said.split('Call the contractor to pump it out.')).toHaveLength(4);
  });

  test('a limit is reached at 25.4 mm and not below', () => {
    const stateAt = (mm: number) => reportOf([visit(1, '2026-11-18T10:40:00-07:00', oil(mm))], 1).report.state;
    expect([12.7, 12.8, 25.3, 25.4].map(stateAt)).toEqual(['fine', 'watch', 'watch', 'pump-out']);
  });

  test('says when it was pumped out since, but not what came before', () => {
    const entries = [
      pumpOut(1, '2026-07-01T07:00:00-06:00'),
      visit(2, '2026-07-20T08:30:00-06:00', oil(26)),
      pumpOut(3, '2026-07-22T07:00:00-06:00'),
    ];
    expect(words(reportOf(entries, 2).page)).toContain('It was pumped out on 22 Jul 2026, 07:00 (UTC−06:00), entry 3.');
    expect(reportOf(entries.slice(0, 2), 2).page).not.toContain('It was pumped out on');
  });

  test('one that was corrected says so, quotes the correction, and gives no advice and no day', () => {
    const entries = [
      visit(1, '2026-10-14T09:00:00-06:00', oil(61)),
      correction(2, 1, '6.1 mm, not 61: the stick was read upside down.'),
      visit(3, '2026-10-14T12:00:00-06:00', oil(6.1)),
    ];
    const { report, page } = reportOf(entries, 1);
    expect(report.due).toBeNull();
    const said = words(page);
    expect(said).toContain('Entry 2 corrects entry 1.');
    expect(said).toContain('“6.1 mm, not 61: the stick was read upside down.”');
    expect(said).toContain('what it says does not stand');
    expect(said).not.toContain('Call the contractor');
    expect(said).not.toContain('Pump out');
    const { page: next } = reportOf(entries, 3);
    expect(words(next)).toContain('Main separator was at 24% of its oil limit when seen.');
    expect(next).not.toContain('corrects entry');
  });

  test('prints its own hash and the head of the log book, how to check them, and what that proves', () => {
    const { page, printing } = reportOf(
      [visit(1, '2026-11-18T10:40:00-07:00', oil(3)), visit(2, '2026-11-19T10:40:00-07:00')],
      1,
    );
    const said = words(page);
    const [first, last] = printing.book.entries;
    expect(said).toContain(`This is entry 1${first.hash}`);
    expect(said).toContain(`Head when printed: entry 2${last.hash}`);
    expect(said).toContain('oilshed log verify --head HASH');
    expect(said).toContain('It proves order and change, not truth.');
    expect(said).toContain('All 2 entries of the log book were as accepted when this was printed.');
    expect(said).toContain('Nobody enters the vault');
    expect(said).toContain('map c0ffeec0ffee');
  });

  test('a visit to a basin, to nowhere in particular, and one that looked at nothing say no more than they know', () => {
    const entries = [
      visit(1, '2026-11-18T10:40:00-07:00', { at: 'CB-2', seen: 'oil' }),
      visit(2, '2026-11-18T10:50:00-07:00', { at: undefined, note: 'walked round' }),
      visit(3, '2026-11-18T11:00:00-07:00'),
    ].map((each) => JSON.parse(JSON.stringify(each)) as NewEntry);
    const [basin, nowhere, bare] = [1, 2, 3].map((seq) => reportOf(entries, seq));
    expect(words(basin.page)).toContain('had oil in it when seen.');
    expect(words(basin.page)).toContain('not worked out, this is no separator');
    expect(words(nowhere.page)).toContain('The yard was inspected.');
    expect(words(bare.page)).toContain('The oil in Main separator was not measured.');
    expect(words(bare.page)).toContain('Nothing was measured or ticked at this inspection.');
    expect([basin, nowhere, bare].map(({ report }) => report.state)).toEqual([null, null, null]);
  });

  test('is in the units of the site', () => {
    const said = words(reportOf([visit(1, '2026-11-18T10:40:00-07:00', oil(25.4))], 1, { voice: US_ENGLISH }).page);
    expect(said).toContain('1.00 in, 58 gal');
  });

  test('text from the log book and the map is text on the page, in every place it can stand', () => {
    const hostile = '<script>alert(1)</script><img src=x onerror="alert(2)">';
    const map = depot();
    const structures = map.structures.map((each) => (each.id === 'SEP-1' ? { ...each, name: hostile } : each));
    const entries = [
      visit(1, '2026-11-18T10:40:00-07:00', {
        note: hostile,
        condition: {
          chambers: [
            { name: hostile, oilMm: 3, areaM2: 4 },
            { oilMm: 1, areaM2: 2 },
          ],
        },
      }),
      correction(2, 1, hostile),
    ].map((each) => ({ ...each, by: hostile }));
    const { page } = reportOf(entries, 1, { map: { ...map, structures }, siteName: hostile });
    expect(page).toContain('&lt;script');
    expect(page).not.toMatch(/<(script|img|link|iframe)/i);
    expect(page).not.toMatch(/<[^>]*\sonerror=/i);
  });

  test('needs nothing from outside, and may run nothing', () => {
    const { page } = reportOf([visit(1, '2026-11-18T10:40:00-07:00', oil(3))], 1);
    expect(page).toContain(`content="default-src 'none'; style-src 'unsafe-inline'; img-src data:"`);
    expect(page.match(/(?:src|href)="|url\((?!#)|@import/g)).toBeNull();
  });
});
