import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Voice } from '../../src/catalogue/index.ts';
import { ENTRY_KINDS, type EntryKind, keptEntry } from '../../src/log-book/index.ts';
import { type Condition, stepsAfter } from '../../src/upkeep/index.ts';
import { conditionWords, entryWords, joinedSteps, stepsTold, stepWords } from '../../src/words/visit.ts';
import { idOf, madeEntry } from '../log-book/made.ts';
import { ENGLISH, english, US_ENGLISH } from '../support/english.ts';

const NAMES: Record<string, string> = { Z1: 'Fuel island', [idOf(12)]: 'entry 12' };
const nameOf = (id: string) => NAMES[id] ?? id;
/** What an entry says, as it is read from what the log book has kept. */
function said(kind: string, body: unknown): string {
  const window = kind === 'finding' ? { since: '2026-03-01', seenAt: '2026-05-30' } : {};
  const whole = typeof body === 'object' && body !== null && !Array.isArray(body) ? { ...window, ...body } : body;
  const entry = keptEntry({ ...madeEntry(1), kind, body: whole });
  return entry ? entryWords(entry, nameOf, ENGLISH) : 'no entry';
}
const limits = { oilLimitMm: 25.4, sludgeLimitMm: 152, packLitres: 20 };

describe('an entry in one line', () => {
  const cases: [EntryKind, object, string][] = [
    [
      'visit',
      { at: 'SEP-1', condition: { chambers: [{ oilMm: 9, areaM2: 2.34 }], packs: 'in-place', sorbent: 'fresh' } },
      'Read SEP-1: 9 mm of oil, 21.1 L; pillows in place',
    ],
    [
      'visit',
      {
        at: 'SEP-1',
        condition: { sludgeMm: 40, sheenAtOutlet: true, debris: false, plates: 'none' },
        note: 'hot  day\n',
      },
      'Read SEP-1: 40 mm of sediment; a sheen at the outlet. hot day',
    ],
    ['visit', { at: 'CB-1', seen: 'clean' }, 'Read CB-1: clean'],
    ['visit', {}, 'Visited the yard'],
    ['finding', { at: 'CB-2', seen: 'clean' }, 'Found CB-2 clean'],
    ['finding', { at: 'CB-3', seen: 'oil', fluid: 'diesel' }, 'Found diesel in CB-3'],
    ['finding', { at: 'CB-3', seen: 'none' }, 'Found no oil in CB-3'],
    ['finding', { at: 'CB-3', seen: 'sheen', fluid: 'diesel' }, 'Found a sheen of diesel in CB-3'],
    ['finding', { at: 'CB-3', seen: 'film' }, 'Found a film of oil in CB-3'],
    ['finding', { at: 'CB-3', seen: 'layer' }, 'Found a layer of oil in CB-3'],
    ['finding', { at: 'Z1', event: { litres: 12 }, fluid: 'diesel' }, 'Saw 12 L of diesel released in Fuel island'],
    ['visit', { at: 'CB-1', seen: 'film' }, 'Read CB-1: film of oil'],
    ['finding', { at: 'SEP-1', amount: { litres: 5, factor: 1.2 } }, 'Found 5 L of oil in SEP-1'],
    ['finding', { at: 'SEP-2', amount: { thicknessMm: 3, areaM2: 2.4 } }, 'Found 3 mm, 7.2 L of oil in SEP-2'],
    ['spill', { zone: 'Z1', litres: 200, fluid: 'diesel' }, 'Spill of 200 L of diesel on Fuel island'],
    [
      'spill',
      { point: [-104.2, 40.9], litres: 2, fluid: 'other', reachedWater: true, called: ['A', 'B'], reference: '17' },
      'Spill of 2 L of another fluid on the point -104.2, 40.9; it reached water; called A, B; report number 17',
    ],
    ['action', { action: 'pump-out', at: 'SEP-1', litres: 180 }, 'Pumped out SEP-1, 180 L taken out in all'],
    ['action', { action: 'placed', at: 'CB-7', note: 'cover' }, 'Control placed at CB-7. cover'],
    ['action', { action: 'training' }, 'Training'],
    ['corrective', { due: '2026-09-01', note: 'mend the grate' }, 'Work due by 1 Sept 2026: mend the grate'],
    ['corrective', { due: '2026-09-01', closed: '2026-08-20T10:00Z', note: 'x' }, 'Work closed on 20 Aug 2026: x'],
    [
      'sample',
      {
        at: 'OUT-1',
        results: [
          { parameter: 'oil and grease', unit: 'mg/L', value: 4.2 },
          { parameter: 'pH', value: 7 },
        ],
      },
      'Sample at OUT-1: oil and grease 4.2 mg/L, pH 7',
    ],
    [
      'sample',
      { at: 'OUT-1', results: { lead: 0.01, note: { lab: 'north' } } },
      'Sample at OUT-1: lead 0.01, note lab north',
    ],
    ['correction', { corrects: idOf(12), note: 'it was CB-3' }, 'Corrects entry 12: it was CB-3'],
    ['correction', { corrects: idOf(13), note: 'gone' }, 'Corrects an earlier entry: gone'],
    ['map', { sha256: 'ab'.repeat(32) }, 'New version of the map, abababababab'],
    ['investigation', { at: 'SEP-1' }, 'Search for the source of the oil in SEP-1 begun'],
    [
      'investigation',
      { at: 'SEP-1', continues: idOf(12), looks: [{ at: 'CB-1', done: true }, { at: 'CB-2' }], note: 'rain came' },
      'Search for the source of the oil in SEP-1 went on, places looked at: 1. rain came',
    ],
    [
      'investigation',
      { at: 'SEP-1', end: { state: 'found', zones: ['Z1'], chance: 0.93 } },
      'Search for the source of the oil in SEP-1 ended: found, Fuel island',
    ],
    [
      'round',
      {
        name: 'weekly',
        stops: [
          { at: 'SEP-1', looked: true, well: false },
          { at: 'CB-1', looked: true, well: true },
          { at: 'CB-2', looked: false },
        ],
      },
      'Round, weekly: 2 of 3 stops looked at, 1 not well',
    ],
    [
      'rain',
      { mm: 12, since: '2026-05-28T08:00Z', gauge: 'roof' },
      'Rain of 12 mm from 28 May 2026 to 30 May 2026, roof',
    ],
    [
      'assessment',
      { at: 'OUT-1', colour: 'brown', odour: false, sheen: true },
      'Storm water looked at from OUT-1: colour brown; no odour; sheen',
    ],
    [
      'link-test',
      { link: 'P-12', by: 'dye', result: 'elsewhere', cameOutAt: 'CB-2' },
      'Tested P-12 with dye: it runs elsewhere; it came out at CB-2',
    ],
    [
      'order',
      { action: 'pump-out', at: 'SEP-1', to: 'Hollow Creek Pumping', due: '2026-06-03', why: 'oil at its limit' },
      'Ordered from Hollow Creek Pumping: a pump-out at SEP-1, by 3 Jun 2026; oil at its limit',
    ],
    [
      'visit',
      { at: 'SEP-1', condition: { chambers: [{ id: 'c2', role: 'outlet', oilMm: 40, sludgeMm: 20 }] } },
      'Read SEP-1: 40 mm of oil in outlet; 20 mm of sediment in outlet',
    ],
    // What was written when other bodies were allowed.
    ['visit', { at: 7, note: 'hot' }, 'visit, not in a form that is known here: at 7, note hot'],
  ];
  test.each(cases)('%s %j', (kind, body, words) => expect(said(kind, body)).toBe(words));

  test('a long note is cut, and stays in one line', () => {
    const words = said('action', { action: 'swept', at: 'Z1', note: 'dry\u2028 '.repeat(200) });
    expect([...words].length).toBeLessThanOrEqual(240);
    expect(words).toMatch(/^Swept Fuel island\. dry dry .*…$/);
  });

  test('any body of any kind has words, and nothing that is no word', () => {
    const body = fc.dictionary(
      fc.constantFrom(
        'at',
        'zone',
        'condition',
        'amount',
        'results',
        'called',
        'point',
        'litres',
        'note',
        'corrects',
        'due',
        'sha256',
        'action',
        'seen',
        'closed',
      ),
      fc.jsonValue(),
    );
    fc.assert(
      fc.property(fc.constantFrom(...ENTRY_KINDS, 'toString'), body, (kind, each) => {
        const words = said(kind, each);
        expect(words.length).toBeGreaterThan(0);
        expect(words).not.toMatch(/\[object|undefined|NaN|\n/);
      }),
      { numRuns: 2000, seed: 7 },
    );
    for (const none of [undefined, null, 3, 'x', []])
      expect(said('visit', none)).toMatch(/^visit, not in a form that is known here/);
  });
});

describe('what a visit saw, and what follows', () => {
  const everything: Condition = {
    chambers: [
      { name: 'inlet', oilMm: 30, areaM2: 1 },
      { oilMm: 22, areaM2: 1 },
    ],
    sludgeMm: 80,
    packs: 'missing',
    sorbent: 'soaked',
    packsRide: 'deep',
    debris: true,
    plates: 'cracked',
    concrete: 'cracked',
    sheenAtOutlet: true,
  };

  test('each chamber, and all of them together, in millimetres and litres or inches and gallons', () => {
    const oilOf = (voice: Voice) =>
      conditionWords(everything, voice)
        .filter(({ label }) => label.startsWith('Oil'))
        .map(({ label, value }) => `${label}: ${value}`);
    expect(oilOf(ENGLISH)).toEqual([
      'Oil, inlet: 30 mm, 30 L',
      'Oil, chamber 2: 22 mm, 22 L',
      'Oil in all: 26 mm, 52 L',
    ]);
    expect(oilOf(US_ENGLISH)[2]).toBe('Oil in all: 1.02 in, 13.7 gal');
    expect(conditionWords({ chambers: [{ oilMm: 3, areaM2: 2 }] }, ENGLISH).map(({ label }) => label)).toEqual(['Oil']);
    expect(conditionWords({}, ENGLISH)).toEqual([]);
  });

  test('every step that a visit can lead to stands beside one thing that was seen', () => {
    const lines = conditionWords(everything, ENGLISH);
    for (const step of [...stepsAfter(everything, limits), ...stepsAfter({ packs: 'adrift', sludgeMm: 200 }, limits)]) {
      expect(lines.some(({ steps }) => steps.includes(step))).toBe(true);
      expect(stepWords(step, ENGLISH)).toEqual({
        say: expect.stringMatching(/^[A-Z].*\.$/),
        why: expect.stringMatching(/^[A-Z].*\.$/),
      });
    }
  });

  test('steps that say the same are said once, with both reasons', () => {
    expect(joinedSteps(['pump-out-oil', 'pump-out-sediment', 'fish-out-packs'], ENGLISH)).toEqual([
      { say: 'Call the contractor to pump it out.', why: 'Oil has reached its limit. Sediment has reached its limit.' },
      { say: 'Fish the loose pillow out.', why: 'A loose pillow can block a pipe.' },
    ]);
    expect(english(stepsTold(['change-packs', 'more-packs', 'change-packs']) ?? '')).toBe(
      'Change the pillows. Add pillows.',
    );
    expect(english(stepsTold(['pump-out-oil', 'pump-out-sediment']) ?? '')).toBe('Call the contractor to pump it out.');
    expect(stepsTold([])).toBeNull();
  });
});
