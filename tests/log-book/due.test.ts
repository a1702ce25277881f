import { describe, expect, test } from 'vitest';
import { dueVisits, dueWork, emptiedOf, findingsFileOf, readEntry, stepsLeft } from '../../src/log-book/index.ts';
import { yard } from '../support/yard.ts';
import { chainOf, idOf, madeEntry } from './made.ts';

const drainage = yard({
  site: { timeZone: 'America/Denver' },
  zones: { Z1: { oilLitresPerYear: 40, drainsTo: 'CB-1' } },
  structures: {
    'CB-1': { kind: 'catch-basin' },
    'SEP-1': { kind: 'separator', lengthM: 2, widthM: 1 },
    'SEP-2': { kind: 'separator', lengthM: 2, widthM: 1 },
    OUT: { kind: 'outfall' },
  },
  links: { P1: { from: 'CB-1', to: 'SEP-1' }, P2: { from: 'SEP-1', to: 'SEP-2' }, P3: { from: 'SEP-2', to: 'OUT' } },
});
const visit = (n: number, at: string, body: object) => madeEntry(n, { at, body: { at: 'SEP-1', ...body } });
const dip = (oilMm: number, more = {}) => ({ condition: { chambers: [{ oilMm, areaM2: 2 }], ...more } });
const pumpOut = (n: number, at: string) =>
  madeEntry(n, { kind: 'action', at, body: { action: 'pump-out', at: 'SEP-1' } });

describe('what visits saw', () => {
  test('becomes findings: since the last pump-out, before any a year before the first visit', () => {
    const { findings } = findingsFileOf(
      chainOf([
        visit(1, '2026-03-01T12:00:00Z', dip(4, { sludgeMm: 20 })),
        visit(2, '2026-04-01T12:00:00Z', dip(6)),
        pumpOut(3, '2026-05-01T12:00:00Z'),
        visit(4, '2026-06-01T12:00:00Z', dip(2, { sheenAtOutlet: true })),
        visit(5, '2026-07-01T12:00:00Z', { since: '2026-06-15', ...dip(1) }),
        visit(6, '2026-07-02T12:00:00Z', { at: 'CB-1', seen: 'clean' }),
        madeEntry(7),
      ]),
    );
    expect(JSON.parse(JSON.stringify(findings))).toEqual([
      {
        id: idOf(1),
        at: 'SEP-1',
        since: '2025-03-01T12:00:00.000Z',
        seenAt: '2026-03-01T12:00:00Z',
        amount: { thicknessMm: 4, areaM2: 2, factor: 1.2 },
        sludgeMm: 20,
      },
      expect.objectContaining({ id: idOf(2), since: '2025-03-01T12:00:00.000Z' }),
      expect.objectContaining({ id: idOf(4), since: '2026-05-01T12:00:00Z', sheenAtOutlet: true }),
      expect.objectContaining({ id: idOf(5), since: '2026-06-15' }),
      expect.objectContaining({ id: idOf(6), at: 'CB-1', seen: 'clean' }),
    ]);
  });

  test('in chambers of different size: litres add up, not millimetres', () => {
    const chambers = [
      { name: 'inlet', oilMm: 10, areaM2: 1 },
      { name: 'outlet', oilMm: 1, areaM2: 3 },
    ];
    const entries = chainOf([visit(1, '2026-03-01T12:00:00Z', { condition: { chambers } })]);
    expect(dueVisits(entries, drainage).visits.find(({ id }) => id === 'SEP-1')?.oilLitres).toBeCloseTo(13, 9);
  });
});

describe('since when a reading counts', () => {
  const sinceOf = (entries: ReturnType<typeof madeEntry>[], zone = 'America/Denver') =>
    findingsFileOf(chainOf(entries), zone).findings.map((finding) => (finding as unknown as { since: string }).since);

  test('what one visit says stands for those after it; a clean one begins anew', () => {
    expect(
      sinceOf([
        visit(1, '2026-05-01T12:00:00Z', { since: '2026-04-01', ...dip(1) }),
        visit(2, '2026-05-08T12:00:00Z', dip(2)),
        visit(3, '2026-05-15T12:00:00Z', dip(0)),
        visit(4, '2026-05-22T12:00:00Z', dip(1)),
      ]),
    ).toEqual(['2026-04-01', '2026-04-01', '2026-04-01', '2026-05-15T12:00:00Z']);
  });

  test('bare dates are days at the site; a pump-out on the day of a visit came after it', () => {
    const evening = visit(1, '2026-05-29T20:00:00-06:00', { since: '2026-04-01', ...dip(20) });
    const entries = [evening, pumpOut(2, '2026-05-30'), visit(3, '2026-05-30', dip(3))];
    expect(sinceOf(entries)).toEqual(['2026-04-01', '2026-04-01']);
    const { problems, visits } = dueVisits(chainOf(entries), drainage);
    expect(problems).toEqual([]);
    expect(visits.find(({ id }) => id === 'SEP-1')).toMatchObject({ emptiedAt: '2026-05-30', oilLitres: 0 });
  });

  test('findings that came with one id of their own each stand', () => {
    const found = { id: 'F1', at: 'SEP-1', since: '2026-03-01', seenAt: '2026-05-30', seen: 'oil' };
    const entries = chainOf([1, 2].map((n) => madeEntry(n, { kind: 'finding', body: found })));
    expect(findingsFileOf(entries).findings.map(({ id }) => id)).toEqual(['F1', idOf(2)]);
  });
});

describe('the next visit', () => {
  test('days are calendar days, whatever the clocks do (Denver: back on 1 November 2026, forward on 14 March 2027)', () => {
    const dueAfter = (at: string) =>
      dueVisits(chainOf([visit(1, at, dip(1))]), drainage).visits.find(({ id }) => id === 'SEP-1')?.due;
    expect(dueAfter('2026-10-31')).toBe('2026-11-30');
    expect(dueAfter('2027-02-20T23:30:00-07:00')).toBe('2027-03-22');
  });

  test('a visit that dipped no oil counts for what it saw, and the next is never due before it', () => {
    const entries = (condition: object) =>
      chainOf([visit(1, '2026-03-01T12:00:00Z', dip(1)), visit(2, '2026-05-01T12:00:00Z', { condition })]);
    const dueWith = (condition: object) =>
      dueVisits(entries(condition), drainage).visits.find(({ id }) => id === 'SEP-1');
    expect(dueWith({ sheenAtOutlet: true })).toMatchObject({ state: 'watch', sheenAtOutlet: true, due: '2026-05-02' });
    expect(dueWith({ sludgeMm: 200 })).toMatchObject({ state: 'pump-out', sludgeMm: 200, oilLitres: 2 });
    expect(dueWith({ packs: 'in-place' })).toMatchObject({ state: 'fine', lookedAt: '2026-05-01T12:00:00Z' });
  });

  test('is due so many days after the last reading, or after the pump-out that followed it', () => {
    const before = chainOf([visit(1, '2026-03-01T18:00:00-07:00', dip(26, { sludgeMm: 150 }))]);
    const [full, unread] = dueVisits(before, drainage).visits;
    expect(full).toMatchObject({ id: 'SEP-1', state: 'pump-out', nextVisitDays: 1, due: '2026-03-02', oilLitres: 52 });
    // Nobody read the second one: a month after the book began.
    expect(unread).toMatchObject({ id: 'SEP-2', due: '2026-03-31', readAt: null });
    const after = chainOf([
      visit(1, '2026-03-01T18:00:00-07:00', dip(26, { sludgeMm: 150 })),
      pumpOut(2, '2026-03-02T09:00:00-07:00'),
    ]);
    expect(dueVisits(after, drainage).visits.find(({ id }) => id === 'SEP-1')).toMatchObject({
      state: 'fine',
      oilLitres: 0,
      sludgeMm: null,
      emptiedAt: '2026-03-02T09:00:00-07:00',
      due: '2026-04-01',
    });
    expect(emptiedOf(after, 'UTC')).toEqual([
      { at: 'SEP-1', emptiedAt: '2026-03-02T09:00:00-07:00', emptiedMs: Date.UTC(2026, 2, 2, 16) },
    ]);
  });

  test('moves when a reading is corrected, and nothing is due in an empty book', () => {
    const entries = chainOf([
      visit(1, '2026-03-01T12:00:00Z', dip(26)),
      visit(2, '2026-03-02T12:00:00Z', dip(2)),
      madeEntry(3, { kind: 'correction', body: { corrects: idOf(2), note: 'that was SEP-2' } }),
    ]);
    const uncorrected = dueVisits(entries.slice(0, 2), drainage).visits.find(({ id }) => id === 'SEP-1');
    expect(uncorrected).toMatchObject({ due: '2026-04-01', oilLitres: 4 });
    expect(dueVisits(entries, drainage).visits[0]).toMatchObject({ due: '2026-03-02', oilLitres: 52 });
    expect(dueVisits([], drainage).visits).toEqual([]);
  });

  test('what does not fit the map is told, and the rest counts', () => {
    const entries = chainOf([
      visit(1, '2026-03-01T12:00:00Z', { ...dip(3), at: 'SEP-9' }),
      visit(2, '2026-03-02T12:00:00Z', dip(2)),
    ]);
    const { visits, problems } = dueVisits(entries, drainage);
    expect(problems.map(({ code, id }) => [code, id])).toEqual([['unknown-id', idOf(1)]]);
    expect(visits.find(({ id }) => id === 'SEP-1')?.oilLitres).toBeCloseTo(4, 9);
  });
});

test('what a visit asks for stays to be done until it is written down, or a later visit sees it in order', () => {
  const limits = { oilLimitMm: 25.4, sludgeLimitMm: 152, packLitres: 25 };
  const bad = visit(1, '2026-03-01T12:00:00Z', {
    condition: { packs: 'adrift', sorbent: 'soaked', debris: true, plates: 'cracked' },
  });
  const action = (n: number, what: string, at = '2026-03-01T13:00:00Z') =>
    madeEntry(n, { kind: 'action', at, body: { action: what, at: 'SEP-1' } });
  const left = (...more: ReturnType<typeof madeEntry>[]) => stepsLeft([bad, ...more], 'SEP-1', limits);
  expect(left()).toEqual(['fish-out-packs', 'change-packs', 'take-out-debris', 'replace-plates']);
  expect(left(action(2, 'packs-changed'))).toEqual(['take-out-debris', 'replace-plates']);
  // Done before the visit, it did not help; done elsewhere neither.
  expect(left(action(2, 'debris-removed', '2026-02-28T13:00:00Z'))).toHaveLength(4);
  expect(stepsLeft([bad, action(2, 'packs-changed')], 'SEP-2', limits)).toEqual([]);
  expect(left(visit(3, '2026-03-08T12:00:00Z', { condition: { packs: 'in-place' } }))).toEqual([]);
  // What is in it goes with the oil; what floats on it and what is broken may stay.
  expect(left(action(2, 'pump-out'))).toEqual(['take-out-debris', 'replace-plates']);
  const taken = action(2, 'packs-changed');
  const back = madeEntry(4, { kind: 'correction', body: { corrects: taken.id, note: 'it was not' } });
  expect(left(taken, back)).toHaveLength(4);
});

test('work is due until its own entry, or one that closes it, says it is done', () => {
  const work = madeEntry(1, { kind: 'corrective', body: { due: '2026-04-01', note: 'mend the hose' } });
  const other = madeEntry(2, { kind: 'corrective', body: { due: '2026-05-01', note: 'mark the lids' } });
  const close = madeEntry(3, {
    kind: 'corrective',
    body: { due: '2026-04-01', closed: '2026-03-20', closes: idOf(1), note: 'done' },
  });
  expect(dueWork([work, other]).map(({ id }) => id)).toEqual([idOf(1), idOf(2)]);
  expect(dueWork([work, other, close]).map(({ id }) => id)).toEqual([idOf(2)]);
  // Closed by its own entry; and an entry that names it without saying when closes nothing.
  const own = madeEntry(4, { kind: 'corrective', body: { due: '2026-05-01', closed: '2026-04-30', note: 'painted' } });
  const unclosed = madeEntry(5, {
    kind: 'corrective',
    body: { due: '2026-06-01', closes: idOf(1), note: 'half done' },
  });
  expect(dueWork([work, own, unclosed]).map(({ id }) => id)).toEqual([idOf(1), idOf(5)]);
  expect(dueWork([work])).toEqual([
    { id: idOf(1), site: 'tarn-lane', due: '2026-04-01', note: 'mend the hose', received: work.at },
  ]);
  expect(dueWork(chainOf([work]))[0].received).toBe('2026-05-30T20:05:01.000Z');
});

test('a visit is refused with everything that is wrong in it', () => {
  const { problems } = readEntry(
    madeEntry(1, {
      body: { at: 'SEP-1', seen: 'dry', condition: { chambers: [{ oilMm: -1, areaM2: 0 }], packs: 'gone', debris: 1 } },
    }),
  );
  expect(problems.map(({ field }) => field).sort()).toEqual([
    'body.condition.chambers[0].areaM2',
    'body.condition.chambers[0].oilMm',
    'body.condition.debris',
    'body.condition.packs',
    'body.seen',
  ]);
});
