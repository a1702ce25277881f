import { beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { flatOf, metresPerFlat, positionOf } from '../../../src/drawing/flat.ts';
import type { FindingSource } from '../../../src/faces/web/compute/protocol.ts';
import { aboutWords, seenWords, windowWords } from '../../../src/faces/web/parts/finding-words.ts';
import { amountIn } from '../../../src/faces/web/parts/number-field.tsx';
import { placeTrouble } from '../../../src/faces/web/state/device-place.ts';
import { askedId, changeFinding, findings, findingWindow, supposedId } from '../../../src/faces/web/state/finding.ts';
import { freeId } from '../../../src/faces/web/state/merge-findings.ts';
import { versionOf } from '../../../src/faces/web/state/open.ts';
import { addFinding, forgetSteps, lastStep, removeFinding, say, takeBack } from '../../../src/faces/web/state/said.ts';
import { speak } from '../../../src/faces/web/state/voice.ts';
import { setWalkerPlace, walkerPlace } from '../../../src/faces/web/state/walker-place.ts';
import { type OpenYard, yard } from '../../../src/faces/web/state/yard.ts';
import { measuredBy, shareOf, startAmount, withShare } from '../../../src/faces/web/where-from/amount-forms.ts';

beforeAll(() => speak('en'));

const held: FindingSource = {
  id: 'F1',
  at: 'SEP-1',
  since: '2026-06-15',
  seenAt: '2026-09-14',
  amount: { litres: 14 },
};
const clean: FindingSource = { id: 'F2', at: 'CB-6', since: '2026-06-15', seenAt: '2026-09-14', seen: 'clean' };
const NOON = new Date(2026, 8, 20, 12);

describe('the window of a look made now', () => {
  test('goes from when the place asked about was last clean to today', () => {
    expect(findingWindow(held, NOON)).toEqual({ since: '2026-06-15', seenAt: '2026-09-20' });
  });

  test('without anything asked about it is the last 90 days', () => {
    expect(findingWindow(null, NOON)).toEqual({ since: '2026-06-22', seenAt: '2026-09-20' });
  });

  test('never ends before it starts, whatever the clock says', () => {
    expect(findingWindow(held, new Date(2020, 0, 1)).seenAt).toBe('2026-09-14');
    const cleaned = { since: new Date(2026, 8, 20, 8).toISOString(), seenAt: '2026-09-21' };
    expect(findingWindow(cleaned, new Date(2026, 8, 20, 9))).toEqual({
      since: cleaned.since,
      seenAt: new Date(2026, 8, 20, 9).toISOString(),
    });
    expect(findingWindow({ since: '2026-09-20', seenAt: '2026-09-21' }, NOON).seenAt).toBe('2026-09-21');
  });
});

describe('saying what was seen, and taking it back', () => {
  const structures = ['SEP-1', 'CB-6', 'MH-9'].map((id) => ({ id }));
  beforeEach(() => {
    yard.value = { map: { zones: [], structures, site: {} } } as unknown as OpenYard;
    forgetSteps();
    findings.value = [held, clean];
    askedId.value = 'F1';
    supposedId.value = null;
    setWalkerPlace(null);
  });

  test('a lid called oily is one finding more, and goes again', () => {
    say('MH-9', 'oil', NOON);
    expect(findings.value[2]).toEqual({ id: 'F3', at: 'MH-9', since: '2026-06-15', seenAt: '2026-09-20', seen: 'oil' });
    expect([askedId.value, lastStep.value?.kind]).toEqual(['F1', 'added']);
    takeBack();
    expect(findings.value).toEqual([held, clean]);
    expect(lastStep.value).toBeNull();
  });

  test('a second tap on the same lid mends the first and is not a second look', () => {
    say('MH-9', 'oil', NOON);
    say('MH-9', 'clean', NOON);
    expect(findings.value.map(({ seen }) => seen)).toEqual([undefined, 'clean', 'clean']);
    takeBack();
    expect(findings.value).toHaveLength(2);
  });

  test('steps are taken back one after the other, the latest first', () => {
    say('MH-9', 'oil', NOON);
    removeFinding('F2');
    expect(findings.value.map(({ id }) => id)).toEqual(['F1', 'F3']);
    takeBack();
    expect(findings.value.map(({ id }) => id)).toEqual(['F1', 'F2', 'F3']);
    takeBack();
    expect(findings.value).toEqual([held, clean]);
  });

  test('taking out the finding asked about asks about the next best, and putting it back asks about it again', () => {
    const oil = addFinding({ at: 'MH-9', seen: 'oil', ...findingWindow(null, NOON) });
    removeFinding('F1');
    expect(askedId.value).toBe(oil);
    takeBack();
    expect(askedId.value).toBe('F1');
    takeBack();
    removeFinding('F1');
    expect(askedId.value).toBeNull();
  });

  describe('with a finding that is only supposed', () => {
    const supposed: FindingSource = { ...held, id: 'supposed', seen: 'oil', amount: undefined };
    beforeEach(() => {
      findings.value = [supposed, clean];
      askedId.value = supposedId.value = 'supposed';
    });

    test('what is seen at its place takes its place, and taking that back supposes it again', () => {
      say('SEP-1', 'oil', NOON);
      expect(findings.value.map(({ id, at }) => [id, at])).toEqual([
        ['F2', 'CB-6'],
        ['F3', 'SEP-1'],
      ]);
      expect([askedId.value, supposedId.value]).toEqual(['F3', null]);
      takeBack();
      expect(findings.value).toEqual([supposed, clean]);
      expect([askedId.value, supposedId.value]).toEqual(['supposed', 'supposed']);
    });

    test('a clean look at its place leaves nothing to ask about', () => {
      say('SEP-1', 'clean', NOON);
      expect(findings.value.map(({ id }) => id)).toEqual(['F2', 'F3']);
      expect([askedId.value, supposedId.value]).toEqual([null, null]);
    });

    test('a look elsewhere leaves it supposed', () => {
      say('MH-9', 'oil', NOON);
      expect(findings.value.map(({ id }) => id)).toEqual(['supposed', 'F2', 'F3']);
      expect([askedId.value, supposedId.value]).toEqual(['supposed', 'supposed']);
    });

    test('supposed at another place it is still supposed; with what was seen changed it is the user’s own', () => {
      changeFinding('supposed', { at: 'MH-9' });
      expect(supposedId.value).toBe('supposed');
      changeFinding('F2', { says: { seen: 'oil' } });
      expect(supposedId.value).toBe('supposed');
      changeFinding('supposed', { says: { seen: 'clean' } });
      expect(supposedId.value).toBeNull();
      say('MH-9', 'oil', NOON);
      expect(findings.value).toHaveLength(3);
    });
  });

  test('who says what is in a lid stands there, if it was known where that was; taking it back goes back', () => {
    say('MH-9', 'oil', NOON);
    expect(walkerPlace.value).toBeNull();
    setWalkerPlace('CB-6');
    say('SEP-1', 'oil', NOON);
    expect(walkerPlace.value).toBe('SEP-1');
    takeBack();
    expect(walkerPlace.value).toBe('CB-6');
    // Where one has said meanwhile that one is elsewhere, that stands.
    say('SEP-1', 'oil', NOON);
    setWalkerPlace([1, 2]);
    takeBack();
    expect(walkerPlace.value).toEqual([1, 2]);
  });

  test('ids are never given twice', () => {
    expect(freeId([held, { ...clean, id: 'F3' }])).toBe('F4');
  });
});

describe('where the device says it is', () => {
  // A yard of 200 by 100 m at 60° north, its middle at (10, 60).
  const flat = {
    middle: flatOf([10, 60]),
    metresPerUnit: metresPerFlat(60),
    bounds: { left: -100, right: 100, top: -50, bottom: 50 },
  };
  const bounds = Object.fromEntries(
    Object.entries(flat.bounds).map(([side, metres]) => [side, metres / flat.metresPerUnit]),
  ) as typeof flat.bounds;
  const trouble = (east: number, north: number, accuracy = 10) => {
    const [x, y] = flat.middle;
    const [longitude, latitude] = positionOf([x + east / flat.metresPerUnit, y - north / flat.metresPerUnit]);
    return placeTrouble({ ...flat, bounds }, { longitude, latitude, accuracy });
  };

  test('in the yard, or near it, is taken', () => {
    expect([trouble(0, 0), trouble(100, -50), trouble(1090, 0), trouble(0, 1040)]).toEqual([null, null, null, null]);
  });

  test('far off it is said how far, and where it is not known well that is said', async () => {
    await speak('en');
    expect(trouble(2600, 0)).toBe('This device is about 2.5 km from this yard.');
    expect(trouble(0, -25_050)).toMatch(/^This device is about 25 km/);
    expect(trouble(1900, 900)).not.toBeNull();
    expect(trouble(300_000, 0)).toBe('This device is more than 100 km from this yard.');
    expect(trouble(0, 0, 3000)).toBe('This device knows where it is only within 3.0 km.');
    expect(trouble(0, 0, 100)).toBeNull();
  });
});

test('the version of a map is the beginning of the SHA-256 of its bytes', async () => {
  // "abc", FIPS 180-4, example B.1: ba7816bf 8f01cfea …
  expect(await versionOf(new TextEncoder().encode('abc').buffer as ArrayBuffer)).toBe('ba7816bf8f01');
});

describe('a finding in words', () => {
  const openIn = (units: 'si' | 'us') => {
    yard.value = { map: { site: { units } } } as unknown as OpenYard;
  };
  beforeEach(async () => {
    openIn('si');
    await speak('en');
  });

  test('what was seen', () => {
    expect(seenWords(clean, null)).toBe('clean');
    expect(seenWords({ ...clean, fluid: 'diesel' }, null)).toBe('clean');
    expect(seenWords({ ...clean, seen: 'oil', fluid: 'diesel' }, null)).toBe('oil, diesel');
    expect(seenWords(held, 0)).toBe('nothing measured');
    expect(seenWords(held, null)).toBe('an amount');
    openIn('us');
    expect(seenWords({ ...held, fluid: 'motor-oil' }, 14)).toBe('3.7 gal of motor oil');
  });

  test('its window, with each year once', () => {
    const window = (since: string, seenAt: string) => windowWords({ since, seenAt }).replaceAll('\u2009', ' ');
    expect(window(held.since, held.seenAt)).toBe('15 Jun – 14 Sept 2026');
    expect(window('2025-12-01', '2026-01-02T08:00:00Z')).toBe('1 Dec 2025 – 2 Jan 2026');
    expect(window('spring', '2026-01-02')).toBe('spring – 2026-01-02');
    openIn('us');
    expect(window(held.since, held.seenAt)).toBe('Jun 15 – Sep 14, 2026');
  });

  test('a worked-out amount, with the range it is likely in', () => {
    expect(aboutWords(0.1581, Math.sqrt(10))).toBe('About 0.16 L, likely 50 mL to 0.5 L.');
    expect(aboutWords(0, 1)).toBe('About 0 L.');
  });
});

describe('the ways of measuring', () => {
  test('a change of the way keeps about as much oil', () => {
    expect(startAmount('litres', 7, null)).toEqual({ litres: 7 });
    expect(startAmount('thickness', 7, 3.5)).toEqual({ thicknessMm: 2, areaM2: 3.5 });
    expect(startAmount('socks', 7, null)).toEqual({ socks: 3 });
    expect(startAmount('appearance', null, 4)).toEqual({ appearance: [{ code: 3, share: 1 }], areaM2: 4 });
    for (const by of ['litres', 'thickness', 'appearance', 'socks'] as const)
      expect(measuredBy(startAmount(by, 5, null))).toBe(by);
  });

  test('looks share the area and never cover more than all of it', () => {
    const some = withShare([{ code: 3, share: 0.4 }], 1, 0.6);
    expect(some).toEqual([
      { code: 1, share: 0.6 },
      { code: 3, share: 0.4 },
    ]);
    expect(withShare(some ?? [], 2, 0.1)).toBeNull();
    expect(shareOf(some ?? [], 5)).toBe(0);
    expect(withShare([{ code: 3, share: 1 }], 3, 0)).toEqual([{ code: 1, share: 0 }]);
  });

  test('what is typed is a number from 0 on, or nothing', () => {
    expect(['', ' ', '2.5', '0', '-1', 'five', '1e400'].map(amountIn)).toEqual([null, null, 2.5, 0, null, null, null]);
  });
});
