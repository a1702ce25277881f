import { describe, expect, test } from 'vitest';
import { findingsIn, readFindings, SEEN } from '../../src/sources/index.ts';
import { englishProblems } from '../support/english.ts';
import { yardMap } from '../support/yard.ts';

const map = yardMap({
  site: { timeZone: 'America/Denver' },
  zones: { Z1: { drainsTo: 'CB-1' } },
  structures: { 'CB-1': { kind: 'catch-basin' }, 'MH-1': { kind: 'manhole' }, 'SEP-1': { kind: 'separator' } },
});
const sound = { id: 'F1', at: 'SEP-1', since: '2026-03-01', seenAt: '2026-05-30', amount: { litres: 5 } };
const read = (...findings: unknown[]) =>
  readFindings(JSON.stringify({ format: 'oilshed-findings', version: 1, findings }), map);
const codes = (...findings: unknown[]) =>
  englishProblems(read(...findings).problems).map(({ code, id, field }) => [code, id, field]);

describe('reading findings', () => {
  test('an amount in litres, or as thickness × area, with factor 1.5 where none is stated', () => {
    const { findings, problems } = read(sound, {
      ...sound,
      id: 'F2',
      amount: { thicknessMm: 3, areaM2: 2.4, factor: 1.2 },
    });
    expect(problems).toEqual([]);
    expect(findings).toMatchObject([
      { litres: 5, factor: 1.5, seen: 'amount' },
      { litres: expect.closeTo(7.2, 12), factor: 1.2, seen: 'amount' },
    ]);
  });

  test('one inch of oil on ten square feet is 6.23 US gallons (hand figure)', () => {
    const { findings } = read({ ...sound, amount: { thicknessMm: 25.4, areaM2: 10 * 0.3048 ** 2 } });
    expect(findings).toMatchObject([{ litres: expect.closeTo(6.23 * 3.785411784, 1) }]);
  });

  test('a window is counted in years of 365.25 days, from midnight to midnight in the site’s time zone', () => {
    // Denver's clocks go forward on 8 March: the window is an hour short of 90 days.
    expect(read(sound).findings[0].years).toBeCloseTo((90 - 1 / 24) / 365.25, 9);
  });

  test('an amount of nothing is a clean look', () => {
    expect(read({ ...sound, amount: { litres: 0 } }).findings[0].seen).toBe('clean');
  });

  test('what a look said in words is weighed as clean or oil, with the chances of a misreading that those have', () => {
    const said = SEEN.map((seen) => {
      const { findings } = read({ ...sound, amount: undefined, seen });
      const [found] = findings;
      return [seen, found.seen, 'misread' in found ? found.misread : null, found.source.seen];
    });
    expect(said).toEqual([
      ['clean', 'clean', 0.05, 'clean'],
      ['oil', 'oil', 0.03, 'oil'],
      ['none', 'clean', 0.05, 'none'],
      ['sheen', 'oil', 0.03, 'sheen'],
      ['film', 'oil', 0.03, 'film'],
      ['layer', 'oil', 0.03, 'layer'],
    ]);
  });

  test('a release that somebody saw is read in a zone, with its litres and factor, and nowhere else', () => {
    const event = { ...sound, at: 'Z1', amount: undefined, event: { litres: 40, factor: 2 } };
    expect(read(event)).toMatchObject({ findings: [{ seen: 'event', litres: 40, factor: 2 }], problems: [] });
    expect(codes({ ...event, at: 'SEP-1' })).toEqual([['bad-field', 'F1', 'at']]);
    expect(codes({ ...event, event: { litres: 0 } })).toEqual([['bad-field', 'F1', 'event.litres']]);
    expect(codes({ ...event, seen: 'oil' })).toEqual([['bad-field', 'F1', 'seen']]);
  });

  test('what else was noticed is checked, and stands in the finding as it was written', () => {
    const noticed = { poke: 'smears', smell: 'diesel', colour: 'red', look: 'hooded', by: 'J. Ortega', photos: [] };
    const { findings, problems } = read({ ...sound, ...noticed });
    expect([problems, findings[0].source]).toEqual([[], { ...sound, ...noticed }]);
    expect(codes({ ...sound, poke: 'hard', look: 'up', smell: 3, colour: true })).toEqual(
      ['look', 'poke', 'smell', 'colour'].map((field) => ['bad-field', 'F1', field]),
    );
  });

  test('an amount in two ways is told as such; a finding of none, or of two sayings, names them', () => {
    const said = (finding: object) => englishProblems(read(finding).problems);
    const [twice] = said({ ...sound, amount: { litres: 5, thicknessMm: 3, areaM2: 2 } });
    expect(twice.message).toBe('the amount is given in 2 ways: litres, thicknessMm');
    const [none] = said({ ...sound, amount: undefined });
    expect(none.message).toBe('it has none of "seen", "amount", "event"');
    const [both] = said({ ...sound, seen: 'oil' });
    expect([both.message, both.allowed]).toEqual([
      'it has both "seen" and "amount"',
      'exactly one of "seen", "amount", "event"',
    ]);
  });

  test('an object is read as its text is', () => {
    const file = { format: 'oilshed-findings', version: 1, findings: [sound, { ...sound, id: 'F2', at: 'CB-9' }] };
    expect(findingsIn(file, map)).toEqual(readFindings(JSON.stringify(file), map));
  });

  test('unlisted fields are kept and do no harm', () => {
    const { findings, problems } = read({
      ...sound,
      note: 'rained the day before',
      sludgeMm: 40,
      sheenAtOutlet: false,
    });
    expect(problems).toEqual([]);
    expect(findings[0].source).toMatchObject({ note: 'rained the day before', sludgeMm: 40 });
  });

  test('every problem of every finding comes back at once', () => {
    expect(
      codes(
        { ...sound, at: 'CB-9' },
        { ...sound, id: 'F2', at: 'MH-1' },
        { ...sound, id: 'F3', at: 'Z1' },
        { ...sound, id: 'F4', seen: 'oil' },
        { ...sound, id: 'F5', amount: undefined },
        { ...sound, id: 'F6', since: '2026-06-01' },
        { ...sound, id: 'F7', since: 'spring', seenAt: '2026-02-30' },
        { ...sound, id: 'F8', amount: { buckets: 2 } },
        { ...sound, id: 'F9', seen: 'maybe', amount: undefined },
        'nothing',
        sound,
        sound,
      ),
    ).toEqual([
      ['unknown-id', 'F1', 'at'],
      ['holds-nothing', 'F2', 'amount'],
      ['amount-on-ground', 'F3', 'amount'],
      ['bad-field', 'F4', 'seen'],
      ['bad-field', 'F5', 'seen'],
      ['bad-window', 'F6', 'since'],
      ['bad-window', 'F7', 'since'],
      ['bad-window', 'F7', 'seenAt'],
      ['bad-field', 'F8', 'amount'],
      ['bad-field', 'F9', 'seen'],
      ['bad-field', 'finding 10', null],
      ['duplicate-id', 'F1', 'id'],
      ['duplicate-id', 'F1', 'id'],
    ]);
  });

  test.each([
    ['not JSON', '{', 'not-json'],
    ['no findings', '{}', 'not-findings'],
    ['null', 'null', 'not-findings'],
  ])('%s is refused', (_, text, code) => {
    expect(readFindings(text, map).problems.map((each) => each.code)).toEqual([code]);
  });

  test('an unknown version is refused by name', () => {
    const { problems } = readFindings('{"format":"oilshed-findings","version":2,"findings":[]}', map);
    expect(problems).toMatchObject([{ field: 'version', found: '2', allowed: '1' }]);
  });
});
