import { beforeAll, describe, expect, test } from 'vitest';
import { timerWords } from '../../../src/faces/web/parts/countdown.ts';
import { type SpillRecord, spillEntry, uuidV7 } from '../../../src/faces/web/state/spill-entry.ts';
import { speak } from '../../../src/faces/web/state/voice.ts';
import { readEntry } from '../../../src/log-book/index.ts';
import { isoTime } from '../../../src/site-map/index.ts';
import { siteWord } from '../../../src/words/site-word.ts';

beforeAll(() => speak('en'));

const NOON = Date.UTC(2026, 4, 30, 20, 5);
const record: SpillRecord = {
  id: uuidV7(0x017f22e279b0, new Uint8Array(10)),
  startedAt: NOON,
  facts: { place: { zone: 'Z1' }, litres: 205, isStill: false, overMinutes: null, fluid: 'diesel', rainMmPerH: 10 },
  plan: {
    controls: [],
    why: null,
    controlCost: 40,
    cleanupCost: 0,
    totalCost: 40,
    costRange: { low: 40, high: 40 },
    litres: { released: 205, kept: 205, held: 0, onGround: 0, toWater: 0, toPublicDrain: 0, moving: 0 },
    pastGrates: 0,
    fouled: [],
    waters: [],
    gap: { toWater: 0, toPublicDrain: 0, pastGrates: 0, money: 0 },
  },
  steps: [
    { at: 'CB-7', control: 'cover', is: 'placed', time: NOON + 125_000 },
    { at: 'V-1', control: 'valve', is: 'cannot', time: NOON + 200_000 },
  ],
  called: [{ role: 'fire service', name: 'Desk', phone: '555-0112', time: NOON + 60_000 }],
  reached: { reachedWaterOrPublicDrain: false, madeSheen: true },
  reference: ' R-17 ',
};
const site = { format: 'oilshed-site', version: 1, name: 'Tarn Lane', timeZone: 'America/Denver' } as const;

describe('an entry of the log book about a spill', () => {
  test('has the keys of an entry and no other, with times in the site’s own zone', () => {
    const entry = spillEntry(record, { site, by: ' J. Ortega ' });
    expect(entry).toEqual({
      id: record.id,
      site: 'tarn-lane',
      kind: 'spill',
      at: '2026-05-30T14:05:00-06:00',
      by: 'J. Ortega',
      body: {
        zone: 'Z1',
        litres: 205,
        fluid: 'diesel',
        rainMmPerH: 10,
        plan: record.plan,
        placed: [{ at: 'CB-7', control: 'cover', time: '2026-05-30T14:07:05-06:00' }],
        cannot: [{ at: 'V-1', control: 'valve', time: '2026-05-30T14:08:20-06:00' }],
        gonePast: [],
        called: [{ role: 'fire service', name: 'Desk', phone: '555-0112', time: '2026-05-30T14:06:00-06:00' }],
        reachedWater: false,
        madeSheen: true,
        reference: 'R-17',
      },
      photos: [],
    });
  });

  test('says a point where one was tapped, and that the fluid was not known; the log book takes it', () => {
    const facts = { ...record.facts, place: { point: [-105.1, 39.5] as [number, number] }, fluid: 'unknown' as const };
    const entry = spillEntry({ ...record, facts, reached: {}, reference: '' }, { site, by: '' });
    const { body, by } = entry;
    expect(Object.keys(body)).not.toContain('reachedWater');
    expect(Object.keys(body)).not.toContain('reference');
    expect(body).toMatchObject({ point: [-105.1, 39.5] });
    expect(Object.keys(body)).not.toContain('zone');
    expect(body).toMatchObject({ fluid: 'other', note: 'The fluid was not known.' });
    expect(readEntry(entry).problems).toEqual([]);
    expect(by).toBe('not named');
  });

  test('a time has the offset of its own day; an unknown zone is UTC', () => {
    expect(isoTime(Date.UTC(2026, 0, 15, 7, 0, 9), 'America/Denver')).toBe('2026-01-15T00:00:09-07:00');
    expect(isoTime(NOON, 'Asia/Kolkata')).toBe('2026-05-31T01:35:00+05:30');
    for (const zone of [undefined, 'UTC', 'Nowhere/At all'])
      expect(isoTime(NOON, zone)).toBe('2026-05-30T20:05:00+00:00');
  });

  test('a site is one plain word', () => {
    expect(['Tarn Lane Depot', ' Café №3 ', '!!'].map(siteWord)).toEqual(['tarn-lane-depot', 'cafe-no3', 'site']);
  });

  test('a site of a long name fits into an entry, apart from others that begin alike, and in normal form C', () => {
    const long = `The yard behind the old ${'railway '.repeat(30)}`;
    for (const name of [long, 'å'.repeat(200), '𠀀'.repeat(200), '한국 차고지', 'Café', 'İ'.repeat(101)]) {
      const word = siteWord(name);
      expect([...word].length).toBeLessThanOrEqual(100);
      expect(word.normalize('NFC')).toBe(word);
      expect(readEntry(spillEntry(record, { site: { ...site, name }, by: '' })).problems).toEqual([]);
    }
    expect(siteWord(`${long} one`)).not.toBe(siteWord(`${long} two`));
    expect(siteWord('a'.repeat(100))).toBe('a'.repeat(100));
    expect(siteWord('a'.repeat(101))).toBe(`${'a'.repeat(91)}-${siteWord('a'.repeat(101)).slice(-8)}`);
    expect(siteWord('한국')).toBe('한국');
  });

  test('the id is the example of RFC 9562, appendix A.6', () => {
    const random = new Uint8Array([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
    expect(uuidV7(0x017f22e279b0, random)).toBe('017f22e2-79b0-7cc3-98c4-dc0c0c07398f');
    // Version and variant stand, whatever chance gives.
    expect(uuidV7(NOON, new Uint8Array(10).fill(255))).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7fff-bfff-ffffffffffff$/);
  });
});

describe('how amounts and minutes are told', () => {
  test('under two minutes a deadline is in seconds, and never longer than it is', () => {
    expect([4.9, 2, 1.999, 1.2, 0.001, 0, -3, 130].map(timerWords)).toEqual([
      '4 min',
      '2 min',
      '119 s',
      '72 s',
      '0 s',
      'now',
      'now',
      '2 h',
    ]);
  });
});
