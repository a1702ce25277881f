import { describe, expect, test } from 'vitest';
import { yearPage } from '../../../src/faces/print/report/year-page.tsx';
import { heldAgainstDue, yearRecord } from '../../../src/faces/print/report/year-record.ts';
import type { NewEntry } from '../../../src/log-book/index.ts';
import type { SiteMap } from '../../../src/site-map/index.ts';
import { idOf } from '../../log-book/made.ts';
import { correction, depot, entry, oil, printingOf, visit, words } from './made.ts';

function recordOf(entries: readonly NewEntry[], year = 2026, more = {}) {
  const printing = printingOf(entries, more);
  const record = yearRecord(year, printing);
  return { record, printing, page: yearPage(record, [], printing) };
}

const withPermit = (inspectEveryDays: number): SiteMap => ({ ...depot(), site: { ...depot().site, inspectEveryDays } });

const action = (n: number, at: string, body: Record<string, unknown>) => entry(n, { kind: 'action', at, body });

const STORY: NewEntry[] = [
  action(1, '2026-01-05T09:00:00-07:00', { action: 'pump-out', at: 'SEP-1', litres: 180 }),
  visit(2, '2026-02-01T09:00:00-07:00', oil(5)),
  visit(3, '2026-05-01T09:00:00-06:00', oil(61)),
  correction(4, 3, 'it was 16 mm', '2026-05-02T09:00:00-06:00'),
  visit(5, '2026-05-02T10:00:00-06:00', oil(16)),
  entry(6, {
    kind: 'spill',
    at: '2026-06-01T10:00:00-06:00',
    body: { zone: 'Z1', litres: 200, fluid: 'diesel', reachedWater: true },
  }),
  action(7, '2026-07-01T09:00:00-06:00', { action: 'pump-out', at: 'SEP-1' }),
  entry(8, { kind: 'corrective', at: '2026-08-01', body: { due: '2026-09-01', note: 'mend the grate' } }),
  entry(9, {
    kind: 'corrective',
    at: '2026-08-02',
    body: { due: '2026-09-01', closed: '2026-08-20', note: 'seal the apron' },
  }),
  entry(10, {
    kind: 'sample',
    at: '2026-09-01',
    body: { at: 'OUT-1', results: [{ parameter: 'oil and grease', value: 4.2, unit: 'mg/L' }] },
  }),
  visit(11, '2026-11-18T09:00:00-07:00', oil(4)),
];

describe('the record of a year', () => {
  test('counts what stands, and of what was taken out only what was written down', () => {
    const { record } = recordOf(STORY);
    const { entries, corrected, visits, pumpOuts, spills, samples, work, takenOut } = record;
    expect({ entries: entries.length, corrected, visits, pumpOuts, spills, samples, work }).toEqual({
      entries: 11,
      corrected: 1,
      visits: 3,
      pumpOuts: 2,
      spills: { count: 1, litres: 200, reachedWater: 1 },
      samples: 1,
      work: { open: 1, closed: 1 },
    });
    expect(takenOut).toEqual({ litres: 180, unknown: 1 });
  });

  test('says what was last seen and when, and what is open', () => {
    const said = words(recordOf(STORY).page);
    expect(said).toContain('3 inspections, 2 pump-outs and 1 spill in 2026 so far. 1 piece of work is still open.');
    expect(said).toContain(
      'Main separator: 34.6 L of oil. Under its limit of 219 L when last seen, on 18 Nov 2026, 7 days before this was printed.',
    );
    expect(said).toContain('East separator: nobody measured its oil.');
    expect(said).toContain('1 · 200 L in all, 1 reached water');
    expect(said).not.toMatch(/complian|!/i);
  });

  test('holds visits against the interval of a permit, and against nothing where the map states none', () => {
    const said = words(recordOf(STORY).page);
    expect(said).not.toMatch(/missed|due every/);
    const asked = words(recordOf(STORY, 2026, { map: withPermit(91) }).page);
    expect(asked).toContain('5 inspections that were due were missed. 1 piece of work is still open.');
    expect(asked).toContain('Inspections due and missed5 · due every 91 days');
    expect(asked).toContain('An inspection is due every 91 days, as the map says a permit asks.');
  });

  test('calls what a truck took oil, water and sediment, not oil', () => {
    const said = words(recordOf(STORY).page);
    expect(said).toContain('Taken out in all180 L · 1 pump-out not known');
    expect(said).toContain('Pumped out Main separator, 180 L taken out in all');
    expect(said).not.toMatch(/oil taken out/i);
  });

  test('lists every entry in order of time, strikes the corrected one and points at its correction', () => {
    const late = visit(12, '2026-03-01T09:00:00-07:00', oil(7));
    const { page } = recordOf([...STORY, late]);
    const rows = [...page.matchAll(/<tr[^>]*><td class="amount">(\d+)</g)].map(([, seq]) => Number(seq));
    expect(rows).toEqual([1, 2, 12, 3, 4, 5, 6, 7, 8, 9, 10, 11]);
    expect(page).toMatch(/<s>Read Main separator: 61 mm of oil, 527 L<\/s> <b>Corrected by entry 4\.<\/b>/);
    expect(page.match(/<s>/g)).toHaveLength(1);
    expect(words(page)).toContain('Corrects entry 3: it was 16 mm');
    expect(words(page)).toContain('Sample at Tarn Lane drain: oil and grease 4.2 mg/L');
  });

  test('a year ends at midnight of the site, and a correction from after it counts', () => {
    const entries = [
      visit(1, '2026-01-01T06:59:59Z', oil(3)),
      visit(2, '2026-01-01T07:00:00Z', oil(3)),
      visit(3, '2026-12-31T23:59:59-07:00', oil(4)),
      visit(4, '2027-01-01T00:00:00-07:00', oil(4)),
      correction(5, 3, 'wrong chamber', '2027-01-02T09:00:00-07:00'),
    ];
    const { record } = recordOf(entries, 2026, { nowMs: Date.parse('2027-02-01T00:00:00Z') });
    expect(record.entries.map(({ seq }) => seq)).toEqual([2, 3]);
    expect([record.visits, record.corrected]).toEqual([1, 1]);
  });

  test('a year without entries is a record that says so', () => {
    const { page } = recordOf(STORY, 2019);
    expect(words(page)).toContain('Nothing was written in the log book in 2019.');
    expect(page).not.toContain('<table>');
  });

  test('prints the head, the version of the map, and marks a book that was changed', () => {
    const { page, printing } = recordOf(STORY);
    const hash = printing.book.head.hash as string;
    expect(words(page).split(hash)).toHaveLength(3);
    expect(page).toContain(`@bottom-left{content:"Record of 2026 · head when printed: entry 11, ${hash}"`);
    expect(words(page)).toContain(printing.mapHash);
    const problems = [{ code: 'chain-broken', severity: 'error', id: null, field: null, message: 'x', cure: 'y' }];
    const changed = recordOf(STORY, 2026, { book: { ...printing.book, problems } });
    expect(words(changed.page)).toContain('The log book is NOT as it was accepted');
    expect(words(changed.page)).not.toContain('were as accepted');
  });

  test('draws the oil of a separator over the year: a point for each reading that stands, its limit, its pump-outs', () => {
    const { page } = recordOf(STORY);
    const [chart] = page.match(/<svg class="fill-chart".*?<\/svg>/s) ?? [''];
    expect(chart.match(/<circle/g)).toHaveLength(3);
    expect(chart.match(/class="emptied-line"/g)).toHaveLength(2);
    expect(chart).toContain('limit 219 L');
    expect(chart).not.toContain('NaN');
  });

  test('text from the log book and the map is text on the page, whatever the kind of entry', () => {
    const hostile = '</style><script>alert(1)</script><img src=x onerror="alert(2)">';
    const kinds: [NewEntry['kind'], Record<string, unknown>][] = [
      ['visit', { at: hostile, note: hostile }],
      ['finding', { at: hostile, fluid: hostile, seen: 'oil' }],
      ['spill', { zone: hostile, litres: 3, fluid: hostile, called: [hostile], reference: hostile }],
      ['action', { action: 'swept', at: hostile, note: hostile }],
      ['corrective', { due: '2026-05-01', note: hostile }],
      ['sample', { at: hostile, results: { [hostile]: hostile } }],
      ['map', { sha256: hostile }],
    ];
    const entries = kinds.map(([kind, body], n) => entry(n + 1, { kind, body, by: hostile, at: '2026-05-01' }));
    const map = depot();
    const structures = map.structures.map((each) => ({ ...each, name: hostile }));
    const { page } = recordOf(entries, 2026, { map: { ...map, structures }, siteName: hostile });
    expect(page).toContain('&lt;script');
    expect(page).not.toMatch(/<(script|img|link|iframe)/i);
    expect(page).not.toMatch(/<[^>]*\sonerror=/i);
    expect(page.match(/<\/style>/g)).toHaveLength(1);
  });
});

describe('the record begins', () => {
  const AT_END = { nowMs: Date.parse('2027-02-01T00:00:00Z') };
  const missed = (entries: readonly NewEntry[], year = 2026) =>
    recordOf(entries, year, { ...AT_END, map: withPermit(91) }).record.separators.map((each) => [
      each.longestGapDays,
      each.missed,
    ]);
  const held = [visit(1, '2026-05-01T09:00:00-06:00'), visit(2, '2026-12-01T09:00:00-07:00')];

  test('with the first visit that stands, so that a year that was mistyped and corrected changes nothing', () => {
    expect(missed(held)[0]).toEqual([214, 2]);
    const mistyped = [
      visit(1, '2016-05-01T09:00:00-06:00'),
      correction(2, 1, 'it was 2026', '2026-05-01T09:10:00-06:00'),
      ...held.map((each, n) => ({ ...each, id: idOf(n + 3) })),
    ];
    expect(missed(mistyped)).toEqual(missed(held));
    expect(missed(mistyped, 2020)[0]).toEqual([null, 0]);
  });

  test('with the log book where that was before any visit, and not with what is said of earlier times', () => {
    const late = visit(1, '2026-12-01T09:00:00-07:00');
    // The made book took in its first entry on 30 May 2026.
    expect(missed([late])[0]).toEqual([184, 2]);
    const action = entry(2, { kind: 'action', at: '2019-04-02', body: { action: 'pump-out', at: 'SEP-1' } });
    expect(missed([late, action])).toEqual(missed([late]));
    expect(missed([late, action], 2025)[0]).toEqual([null, 0]);
  });
});

test('work that a later entry closes is closed, and that entry is no work of its own', () => {
  const works = [
    entry(1, { kind: 'corrective', at: '2026-08-01', body: { due: '2026-09-01', note: 'mend the grate' } }),
    entry(2, {
      kind: 'corrective',
      at: '2026-08-20',
      body: { due: '2026-09-01', closed: '2026-08-20', closes: idOf(1), note: 'grate mended' },
    }),
  ];
  expect(recordOf(works).record.work).toEqual({ open: 0, closed: 1 });
  expect(recordOf(works.slice(0, 1)).record.work).toEqual({ open: 1, closed: 0 });
});

describe('visits against visits that were due', () => {
  const day = (days: number) => days * 24 * 3600 * 1000;
  const held = (
    visits: number[],
    {
      since = 0,
      from = 0,
      until = 365,
      every = 91,
    }: { since?: number; from?: number; until?: number; every?: number | null } = {},
  ) =>
    heldAgainstDue(visits.map(day), { sinceMs: day(since), fromMs: day(from), untilMs: day(until), everyDays: every });

  test('a visit on the day it is due is in time, one a day later has missed it', () => {
    expect(held([0, 91], { until: 92 })).toEqual({ visits: 2, longestGapDays: 91, missed: 0 });
    expect(held([0, 92], { until: 93 })).toEqual({ visits: 2, longestGapDays: 92, missed: 1 });
    expect(held([0], { until: 365 }).missed).toBe(4);
  });

  test('what fell due in the year before is not counted twice', () => {
    expect(held([-100, 10], { since: -100, until: 20 })).toEqual({ visits: 1, longestGapDays: 110, missed: 0 });
    expect(held([-80, 30], { since: -80, until: 40 })).toEqual({ visits: 1, longestGapDays: 110, missed: 1 });
  });

  test('a separator that nobody ever visited is due from the first entry on; before the log book nothing is', () => {
    expect(held([], { until: 100 })).toEqual({ visits: 0, longestGapDays: 100, missed: 1 });
    expect(held([], { since: 400 })).toEqual({ visits: 0, longestGapDays: null, missed: 0 });
  });

  test('where nothing says how often, none is missed, and none is said to be held in time', () => {
    expect(held([0], { every: null })).toEqual({ visits: 1, longestGapDays: 365, missed: null });
    expect(held([], { since: 400, every: null })).toEqual({ visits: 0, longestGapDays: null, missed: null });
  });
});
