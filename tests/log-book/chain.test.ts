import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  CSV_TITLES,
  canonicalText,
  chainCheck,
  csvRow,
  findingsFileOf,
  isSameContent,
  type SealedEntry,
  type StoredEntry,
  sealEntry,
  unsealed,
} from '../../src/log-book/index.ts';
import { english, englishProblems } from '../support/english.ts';
import { chainOf, idOf, madeEntry, sha256, siteOf } from './made.ts';

const chain = chainOf([
  madeEntry(1),
  madeEntry(2, { kind: 'action', body: { action: 'swept', note: 'Ünïcode 🛢 "quoted"\n' }, photos: ['b'.repeat(64)] }),
  madeEntry(3, { kind: 'correction', body: { corrects: idOf(1), note: 'no' } }),
  madeEntry(4, { kind: 'sample', body: { at: 'OUT-1', results: [{ mg: 0.1 }, 1e21, -0, null, true] } }),
  madeEntry(5),
]);
const storedOf = (entry: SealedEntry): StoredEntry => {
  const { id, site, seq } = entry;
  return { id, site, seq, text: canonicalText(entry) };
};
const stored = chain.map(storedOf);
const head = { site: siteOf('tarn-lane'), seq: 5, hash: chain[4].hash };

function check(rows: readonly StoredEntry[], heads = [head]) {
  const { look, end } = chainCheck(sha256);
  for (const row of rows) look(row);
  return end(heads);
}
const messages = (rows: readonly StoredEntry[], heads = [head]) =>
  check(rows, heads).problems.map(({ message }) => english(message));

describe('the canonical text', () => {
  test('is that of RFC 8785, section 3.2.2 and 3.2.3', () => {
    const numbers = JSON.parse(
      '{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],"literals":[null,true,false]}',
    );
    const string = '\u20ac$\u000f\u000aA\'B"\\\\"/';
    expect(canonicalText({ ...numbers, string })).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
    const keys = { '\u20ac': 1, '\r': 2, '\ufb33': 3, '1': 4, '\ud83d\ude00': 5, '\u0080': 6, '\u00f6': 7 };
    expect(canonicalText(keys)).toBe('{"\\r":2,"1":4,"\u0080":6,"ö":7,"€":1,"😀":5,"\ufb33":3}');
  });
});

describe('a seal', () => {
  test('is the SHA-256 of the text of everything but the hash', () => {
    const entry = madeEntry(1);
    const seal = { seq: 1, received: '2026-05-30T20:05:01.000Z', previous: null, account: 'M. Lund' };
    const sealed = sealEntry(entry, seal, sha256);
    const text =
      '{"account":"M. Lund","at":"2026-05-30T14:05:00-06:00","body":{"note":"visit 1","weather":"dry"},"by":"J. Ortega",' +
      '"id":"0197218a-3c5e-7d61-9b0a-000000000001","kind":"visit","photos":[],"previous":null,' +
      '"received":"2026-05-30T20:05:01.000Z","seq":1,"site":"tarn-lane"}';
    expect(sealed.hash).toBe(sha256(Buffer.from(text)));
    expect(unsealed(sealed)).toEqual(entry);
    expect(sealed.at).toBe(entry.at);
    const claimed = { ...entry, account: 'A. Vance' };
    expect(sealEntry(claimed, seal, sha256)).toEqual(sealed);
    expect(isSameContent(claimed, sealed)).toBe(true);
  });

  test('takes an entry sent again for the same whatever the order of its keys, and for another if anything differs', () => {
    const [first] = chain;
    const turned = Object.fromEntries(Object.entries(madeEntry(1)).reverse());
    expect(isSameContent(turned as never, first)).toBe(true);
    expect(isSameContent({ ...madeEntry(1), by: 'j. ortega' }, first)).toBe(false);
    expect(isSameContent({ ...madeEntry(1), extra: 1 } as never, first)).toBe(false);
    const { photos: _, ...without } = madeEntry(1);
    expect(isSameContent(without, first)).toBe(false);
  });
});

describe('the check of a chain', () => {
  test('finds nothing in a sound one, of one site or of several', () => {
    expect(check(stored)).toEqual({ entries: 5, problems: [] });
    const other = chainOf([madeEntry(9, { site: 'west-yard' })]);
    const heads = [head, { site: siteOf('west-yard'), seq: 1, hash: other[0].hash }];
    expect(check([...stored, ...other.map(storedOf)], heads)).toEqual({ entries: 6, problems: [] });
    expect(check([], [])).toEqual({ entries: 0, problems: [] });
  });

  test('finds every change of any one character of any text', () => {
    for (const [at, row] of stored.entries()) {
      for (let place = 0; place < row.text.length; place++) {
        const was = row.text[place];
        const text = row.text.slice(0, place) + (was === '0' ? '1' : '0') + row.text.slice(place + 1);
        const { problems } = check(stored.with(at, { ...row, text }));
        expect(problems.length, text).toBeGreaterThan(0);
        expect(problems[0].id).toBe(row.id);
      }
    }
  });

  test('finds a blank more, a key twice, and a text that means the same', () => {
    const row = stored[1];
    for (const text of [
      ` ${row.text}`,
      row.text.replace('{', '{"by":"J. Ortega",'),
      row.text.replace('swept', '\\u0073wept'),
    ])
      expect(messages(stored.with(1, { ...row, text }))).toEqual([
        'the text of entry 2 of tarn-lane is not as it was written',
      ]);
  });

  test('finds any field changed, even when its own hash was made anew', () => {
    const anything = fc.jsonValue({ maxDepth: 2 });
    const keys = Object.keys(chain[0]).filter((key) => key !== 'hash') as (keyof SealedEntry)[];
    fc.assert(
      fc.property(fc.nat(4), fc.constantFrom(...keys), anything, (at, key, value) => {
        fc.pre(canonicalText({ a: chain[at][key] }) !== canonicalText({ a: value }));
        const { hash: _, ...changed } = { ...chain[at], [key]: value };
        const hash = sha256(Buffer.from(canonicalText(changed)));
        const text = canonicalText({ ...changed, hash });
        return check(stored.with(at, { ...stored[at], text })).problems.length > 0;
      }),
      { seed: 11, numRuns: 400 },
    );
  });

  test('names what is missing, at the start, in the middle and at the end', () => {
    expect(messages(stored.slice(1))[0]).toBe('entry 1 is missing from tarn-lane');
    expect(messages([stored[0], stored[3], stored[4]])[0]).toBe('entries 2 to 3 are missing from tarn-lane');
    expect(messages(stored.slice(0, 3))).toEqual(['entries 4 to 5 are missing from tarn-lane']);
    expect(messages([])).toEqual(['entries 1 to 5 are missing from tarn-lane']);
    expect(messages(stored, [])).toEqual(['tarn-lane has 5 entries, but its head says 0']);
    expect(messages(stored, [{ ...head, hash: chain[3].hash }])).toEqual([
      'the head of tarn-lane is not the hash of its last entry',
    ]);
  });

  test('names what stands out of order, also where the numbers were made to fit', () => {
    const [a, b, c, d, e] = stored;
    expect(messages([a, c, b, d, e]).length).toBeGreaterThan(0);
    const swapped = [a, { ...c, seq: 2 }, { ...b, seq: 3 }, d, e];
    expect(messages(swapped).some((message) => message.includes('does not follow the entry before it'))).toBe(true);
  });

  test('finds an entry moved to another site, and a correction of something later', () => {
    const moved = { ...stored[4], site: siteOf('west-yard'), seq: 1 };
    expect(messages([...stored.slice(0, 4), moved]).length).toBeGreaterThan(1);
    const early = chainOf([madeEntry(1, { kind: 'correction', body: { corrects: idOf(2), note: '' } }), madeEntry(2)]);
    expect(messages(early.map(storedOf), [{ ...head, seq: 2, hash: early[1].hash }])).toEqual([
      'entry 1 of tarn-lane corrects nothing that was written before it',
    ]);
  });

  test('finds a sound text that stands under another id or site, and says field and words of each fault', () => {
    const cure = 'compare it with an export made before, and find out who changed it';
    const told = (rows: readonly StoredEntry[], heads = [head]) =>
      englishProblems(check(rows, heads).problems).map((each) => [each.field, each.message, each.cure]);
    const of1 = `of tarn-lane, ${idOf(1)}`;
    expect(told(stored.with(0, { ...stored[0], id: idOf(9) }))[0]).toEqual([
      null,
      `entry 1 of tarn-lane says it is entry 1 ${of1}`,
      cure,
    ]);
    const elsewhere = { ...head, site: siteOf('west-yard'), seq: 1, hash: chain[0].hash };
    expect(told([{ ...stored[0], site: siteOf('west-yard') }], [elsewhere])).toEqual([
      [null, `entry 1 of west-yard says it is entry 1 ${of1}`, cure],
    ]);
    expect(told([{ ...stored[0], seq: 2 }, ...stored.slice(2)])).toContainEqual([
      null,
      `entry 2 of tarn-lane says it is entry 1 ${of1}`,
      cure,
    ]);
    const [a, b, c, d, e] = stored;
    expect(told([a, c, b, d, e])).toEqual(
      expect.arrayContaining([
        ['seq', 'entry 2 is missing from tarn-lane', cure],
        ['seq', 'entry 2 of tarn-lane stands out of order, entry 4 was to come', cure],
        ['previous', 'entry 3 of tarn-lane does not follow the entry before it', cure],
      ]),
    );
    const rehashed = canonicalText({ ...chain[1], hash: 'e'.repeat(64) });
    expect(told(stored.with(1, { ...b, text: rehashed }))[0]).toEqual([
      'hash',
      'the content of entry 2 of tarn-lane does not give its hash',
      cure,
    ]);
  });

  test('lives through text that is no entry at all', () => {
    for (const text of ['', 'null', '3', '[]', '{"seq":1e999}', '{"a":'.repeat(9000)])
      expect(check(stored.with(2, { ...stored[2], text })).problems[0]).toMatchObject({
        code: 'chain-broken',
        id: idOf(3),
      });
  });
});

test('a row of CSV quotes what must be, and no cell is taken for a formula', () => {
  const [sealed] = chainOf([madeEntry(1, { by: '=HYPERLINK("http://a.example")', body: { note: 'a, "b"\n' } })]);
  expect(CSV_TITLES).toBe('site,seq,at,received,kind,by,body,photos,id,hash,account\r\n');
  expect(csvRow(sealed)).toBe(
    `tarn-lane,1,2026-05-30T14:05:00-06:00,2026-05-30T20:05:01.000Z,visit,"'=HYPERLINK(""http://a.example"")",` +
      `"{""note"":""a, \\""b\\""\\n""}",,${idOf(1)},${sealed.hash},this machine\r\n`,
  );
});

test('findings come out as a findings file, but for those that were corrected', () => {
  const found = (at: string, more = {}) => ({ at, since: '2026-03-01', seenAt: '2026-05-30', seen: 'oil', ...more });
  const entries = chainOf([
    madeEntry(1, { kind: 'finding', body: found('CB-1') }),
    madeEntry(2, { kind: 'finding', body: found('CB-2', { id: 'F2', note: 'kept' }) }),
    madeEntry(3),
    madeEntry(4, { kind: 'correction', body: { corrects: idOf(1), note: 'it was CB-3' } }),
    madeEntry(5, { kind: 'finding', body: found('CB-3') }),
  ]);
  expect(findingsFileOf(entries)).toEqual({
    format: 'oilshed-findings',
    version: 1,
    findings: [found('CB-2', { id: 'F2', note: 'kept' }), { id: idOf(5), ...found('CB-3') }],
  });
});
