import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  asWritten,
  canonicalText,
  ENTRY_KINDS,
  type EntryKind,
  entryText,
  filesNamed,
  findingsFileOf,
  keptEntry,
  keptSealedEntry,
  photoType,
  readEntry,
  readSealedEntry,
} from '../../src/log-book/index.ts';
import { english, englishProblems } from '../support/english.ts';
import { chainOf, idOf, madeEntry, sha256 } from './made.ts';

const SHA = 'a'.repeat(64);
const BODIES: Record<EntryKind, Record<string, unknown>> = {
  visit: {},
  finding: { id: 'F1', at: 'CB-1', since: '2026-03-01', seenAt: '2026-05-30', seen: 'clean' },
  spill: { zone: 'Z1', litres: 40, fluid: 'diesel', reachedWater: false, called: ['fire service'], reference: 'A-12' },
  action: { action: 'pump-out', at: 'SEP-1' },
  corrective: { due: '2026-06-30', note: 'mend the kerb' },
  sample: { at: 'OUT-1', results: { oilMgPerL: 3 } },
  correction: { corrects: idOf(1), note: 'it was CB-2' },
  map: { sha256: SHA },
  investigation: {
    at: 'SEP-1',
    looks: [{ at: 'CB-1', done: true }],
    end: { state: 'found', zones: ['Z1'], chance: 0.9 },
  },
  round: {
    name: 'weekly',
    stops: [
      { at: 'SEP-1', looked: true, well: true },
      { at: 'CB-1', looked: false },
    ],
  },
  rain: { mm: 12, since: '2026-05-29', gauge: 'roof', readings: [{ at: '2026-05-29T08:00Z', mm: 4 }] },
  assessment: { at: 'OUT-1', colour: 'brown', foam: false, sheen: true },
  'link-test': { link: 'P-12', by: 'dye', result: 'as-drawn', cameOutAt: 'CB-2', minutes: 4 },
  order: { action: 'pump-out', at: 'SEP-1', to: 'Hollow Creek Pumping', due: '2026-06-03' },
};
const fieldsOf = (value: unknown) => readEntry(value).problems.map(({ field }) => field);

describe('an entry', () => {
  test.each(ENTRY_KINDS)('of kind %s is sound with its body, and unknown keys in it are kept', (kind) => {
    const entry = { ...madeEntry(1, { kind, body: { ...BODIES[kind], ownKey: { deep: [1] } } }), ownKey: 'x' };
    const before = JSON.stringify(entry);
    expect(readEntry(entry)).toEqual({ entry, problems: [] });
    expect(JSON.stringify(readEntry(entry).entry)).toBe(before);
  });

  test('tells everything that is wrong at once, each with its field and what to write', () => {
    const { problems } = readEntry({
      id: 'mine',
      kind: 'spill',
      at: 'yesterday',
      by: ' ',
      body: { zone: 'Z1', point: [0, 0], litres: -1, fluid: 'tar' },
      photos: ['x.jpg'],
    });
    expect(problems.map(({ field }) => field).sort()).toEqual(
      ['at', 'body.fluid', 'body.litres', 'body.zone', 'by', 'id', 'photos[0]', 'site'].sort(),
    );
    const said = englishProblems(problems);
    for (const { message, cure } of said) expect([message, cure]).not.toContain('');
    expect(said.find(({ field }) => field === 'site')).toMatchObject({
      code: 'missing-field',
      message: 'it is missing',
    });
  });

  test.each<[EntryKind, Record<string, unknown>, string]>([
    ['finding', { ...BODIES.finding, seen: undefined }, 'body.seen'],
    ['finding', { ...BODIES.finding, amount: { litres: 5 } }, 'body.seen'],
    ['finding', { ...BODIES.finding, at: undefined }, 'body.at'],
    ['spill', { litres: 4, fluid: 'diesel' }, 'body.zone'],
    ['action', { action: 'danced' }, 'body.action'],
    ['corrective', { due: 'soon', note: '' }, 'body.due'],
    ['sample', { at: 'OUT-1', results: 3 }, 'body.results'],
    ['correction', { corrects: 'F1', note: '' }, 'body.corrects'],
    ['map', { sha256: SHA.toUpperCase() }, 'body.sha256'],
    ['finding', { ...BODIES.finding, event: { litres: 5 } }, 'body.seen'],
    ['finding', { ...BODIES.finding, poke: 'bursts' }, 'body.poke'],
    ['visit', { condition: { chambers: [{ role: 'cellar', oilMm: 3 }] } }, 'body.condition.chambers[0].role'],
    ['visit', { condition: { chambers: [{ role: 'oil', oilMm: 3 }] } }, 'body.condition.chambers[0].areaM2'],
    ['visit', { condition: { chambers: [{ id: 'SEP-1/oil' }] } }, 'body.condition.chambers[0].oilMm'],
    ['investigation', {}, 'body.at'],
    ['round', { stops: [] }, 'body.stops'],
    ['rain', { mm: -1, since: '2026-05-29' }, 'body.mm'],
    ['assessment', { at: 'OUT-1', colour: 3 }, 'body.colour'],
    ['link-test', { link: 'P-12', by: 'ear', result: 'as-drawn' }, 'body.by'],
    ['order', { action: 'pump-out', at: 'SEP-1' }, 'body.to'],
  ])('of kind %s with %o is refused at %s', (kind, body, field) => {
    expect(fieldsOf(madeEntry(1, { kind, body: JSON.parse(JSON.stringify(body)) }))).toEqual([field]);
  });

  test('of no known kind names the kinds, and its other fields are looked at all the same', () => {
    const { problems } = readEntry({ ...madeEntry(1), kind: 'toString', by: 4 });
    expect(problems).toMatchObject([
      { code: 'unknown-kind', field: 'kind' },
      { code: 'bad-field', field: 'by' },
    ]);
    expect(english(problems[0].cure)).toContain(ENTRY_KINDS.join(', '));
  });

  test('names its site in normal form C; an older one, and all other text, may stand in any', () => {
    const decomposed = madeEntry(1, { site: 'cafe\u0301', by: 'Jose\u0301', body: { note: 'cafe\u0301' } });
    expect(englishProblems(readEntry(decomposed).problems)).toMatchObject([
      { code: 'bad-field', field: 'site', cure: 'write "café" in Unicode normal form C' },
    ]);
    expect(readEntry({ ...decomposed, site: 'caf\u00e9' }).problems).toEqual([]);
    const [sealed] = chainOf([decomposed]);
    expect(readSealedEntry(canonicalText(sealed), sha256)).toEqual({ sealed, problems: [] });
  });

  test('may not bring its own seal', () => {
    expect(fieldsOf({ ...madeEntry(1), seq: 4, hash: SHA, previous: null, received: 'x' }).sort()).toEqual([
      'hash',
      'previous',
      'received',
      'seq',
    ]);
  });

  test('that has no canonical text is refused: endless numbers, half characters, endless depth, endless length', () => {
    const huge = JSON.parse('{"a":[1e999]}');
    expect(fieldsOf(madeEntry(1, { body: huge }))).toEqual(['body.a[0]']);
    expect(fieldsOf(madeEntry(1, { body: { note: '\ud83d' } }))).toEqual(['body.note']);
    expect(fieldsOf(madeEntry(1, { body: { '\udc00': 1 } }))).toEqual(['body']);
    expect(readEntry(madeEntry(1, { body: { note: '🛢' } })).problems).toEqual([]);
    const deep = JSON.parse(`${'{"a":'.repeat(50_000)}1${'}'.repeat(50_000)}`);
    expect(englishProblems(readEntry(madeEntry(1, { body: deep })).problems)).toMatchObject([
      { code: 'bad-field', found: 'nested over 32 deep' },
    ]);
    const long = (length: number) => madeEntry(1, { body: { note: 'x'.repeat(length) } });
    expect(readEntry(long(255_000)).problems).toEqual([]);
    expect(readEntry(long(256_000)).problems).toMatchObject([{ code: 'too-large' }]);
  });

  test('of any shape at all gets an answer and no exception', () => {
    fc.assert(
      fc.property(fc.anything({ withNullPrototype: true }), fc.constantFrom(...ENTRY_KINDS), (body, kind) => {
        const value = JSON.parse(JSON.stringify({ ...madeEntry(1), kind, body }) ?? 'null');
        const { entry, problems } = readEntry(value);
        return (entry === undefined) === problems.length > 0;
      }),
      { seed: 7, numRuns: 300 },
    );
    for (const value of [null, 3, 'x', [], {}]) expect(readEntry(value).problems).not.toEqual([]);
  });
});

test('what is too long is not looked through, and what is wrong throughout is told in bounds', () => {
  const empty = (count: number) => ({ chambers: Array.from({ length: count }, () => ({})) });
  const codesOf = (count: number) =>
    readEntry(madeEntry(1, { body: { at: 'SEP-1', condition: empty(count) } })).problems.map(({ code }) => code);
  expect(codesOf(200_000)).toEqual(['too-large']);
  expect(codesOf(50)).toHaveLength(100);
  expect(codesOf(5_000)).toHaveLength(201);
});

describe('a line of an export', () => {
  const [sealed] = chainOf([madeEntry(1)]);
  const read = (text: string) => readSealedEntry(text, sha256);
  const problemsIn = (text: string) => englishProblems(read(text).problems);
  const changed = (change: object) => problemsIn(canonicalText({ ...sealed, ...change }));

  test('is the sealed entry, where it stands as it was accepted', () => {
    expect(read(canonicalText(sealed))).toEqual({ sealed, problems: [] });
    const problem = {
      code: 'chain-broken',
      id: sealed.id,
      field: 'hash',
      message: 'entry 1 of tarn-lane is not as it was accepted',
      cure: 'import a copy that nobody changed',
    };
    expect(problemsIn(` ${canonicalText(sealed)}`)).toEqual([expect.objectContaining(problem)]);
    expect(changed({ by: 'A. Vance' })).toEqual([expect.objectContaining(problem)]);
    expect(changed({ hash: SHA })).toEqual([expect.objectContaining(problem)]);
  });

  test('tells what is wrong with the entry first, and else with its seal', () => {
    expect(changed({ by: '', seq: 0 }).map(({ field }) => field)).toEqual(['by']);
    expect(changed({ seq: 0, hash: 'x', previous: 'y' }).map(({ field }) => field)).toEqual([
      'seq',
      'previous',
      'hash',
    ]);
    for (const text of ['null', '3', '"x"', '[]'])
      expect(read(text).problems, text).toMatchObject([{ code: 'bad-field' }]);
    expect(read('{').problems).toHaveLength(1);
    expect(read('{').sealed).toBeUndefined();
  });
});

test('an entry names its photos, and a map its file', () => {
  const [one, other] = [SHA, 'b'.repeat(64)];
  expect(filesNamed(madeEntry(1, { photos: [one, other] }))).toEqual([
    { kind: 'photo', name: one, field: 'photos[0]' },
    { kind: 'photo', name: other, field: 'photos[1]' },
  ]);
  expect(filesNamed(madeEntry(1, { kind: 'map', body: BODIES.map, photos: [other] }))).toEqual([
    { kind: 'photo', name: other, field: 'photos[0]' },
    { kind: 'map', name: SHA, field: 'body.sha256' },
  ]);
  expect(filesNamed(madeEntry(1, { kind: 'visit', body: { sha256: SHA } }))).toEqual([]);
});

test('a photo is known by its first bytes, whatever it is called', () => {
  const bytes = (text: string) => Uint8Array.from(text, (each) => each.charCodeAt(0));
  expect(photoType(bytes('\xff\xd8\xff\xe0rest'))).toBe('image/jpeg');
  expect(photoType(bytes('\x89PNG\r\n\x1a\nrest'))).toBe('image/png');
  expect(photoType(bytes('RIFF\0\0\0\0WEBPVP8 '))).toBe('image/webp');
  for (const brand of ['heic', 'heix', 'heim', 'heis', 'hevc', 'hevx', 'mif1', 'msf1'])
    expect(photoType(bytes(`\0\0\0\x18ftyp${brand}`)), brand).toBe('image/heic');
  for (const other of [
    '',
    'GIF89a',
    '<svg xmlns=',
    '%PDF-1.7',
    'RIFF\0\0\0\0AVI ',
    'XXXX\0\0\0\0WEBP',
    '\0\0\0\x18moovheic',
    '\0\0\0\x18ftypisom',
    '\xff\xd8',
  ])
    expect(photoType(bytes(other)), other).toBeNull();
});

describe('an entry that the log book kept', () => {
  const kept = (kind: string, body: unknown) => {
    const [sealed] = chainOf([madeEntry(1, { kind, body: body as object })]);
    return { sealed, text: canonicalText(sealed), read: keptSealedEntry(JSON.parse(canonicalText(sealed))) };
  };

  test.each(ENTRY_KINDS)('of kind %s is read as the value that was written', (kind) => {
    const { sealed, read, text } = kept(kind, { ...BODIES[kind], ownKey: { deep: [1] } });
    expect(read).toEqual(sealed);
    expect(read && entryText(read)).toBe(text);
    expect(readSealedEntry(text, sha256)).toEqual({ sealed: read, problems: [] });
  });

  test.each<[string, unknown]>([
    ['visit', { at: 7, note: 'of long ago' }],
    ['visit', { at: 'SEP-1', condition: { chambers: [{ oilMm: 'some' }] } }],
    ['finding', { at: 'CB-1', since: '2026-03-01', seenAt: '2026-05-30' }],
    ['map', { sha256: 'gone' }],
    ['correction', { corrects: 3 }],
  ])(
    'with a body that does not fit, %s %j, is a member of its own, counts for nothing and goes out as it came in',
    (kind, body) => {
      const { read, text } = kept(kind, body);
      expect(read).toMatchObject({ kind: 'unfit', body: { kind, body } });
      if (!read) return;
      expect(JSON.stringify(asWritten(read))).toBe(text);
      expect([filesNamed(read), findingsFileOf([read]).findings]).toEqual([[], []]);
      // Exports bring it in again, with the hash that it has.
      const imported = readSealedEntry(text, sha256);
      expect(imported).toEqual({ sealed: read, problems: [] });
      expect(keptEntry(asWritten(read))).toEqual(read);
    },
  );

  test('of a kind that only a later version knows is kept, but neither written nor imported', () => {
    const { read, text, sealed } = kept('song', { verses: 3 });
    expect(read).toMatchObject({ kind: 'unfit', body: { kind: 'song', body: { verses: 3 } } });
    expect(read && entryText(read)).toBe(text);
    for (const problems of [readEntry(madeEntry(1, { kind: 'song' })).problems, readSealedEntry(text, sha256).problems])
      expect(problems[0]).toMatchObject({ code: 'unknown-kind', id: sealed.id });
  });

  test('is none where id, site, kind or seal is not there', () => {
    const [sealed] = chainOf([madeEntry(1)]);
    for (const key of ['id', 'site', 'kind', 'at', 'by', 'seq', 'received', 'previous', 'hash'])
      expect(keptSealedEntry({ ...sealed, [key]: undefined }), key).toBeNull();
    for (const value of [null, 3, 'x', [], {}]) expect(keptSealedEntry(value)).toBeNull();
    expect(keptEntry(madeEntry(1))).toEqual(madeEntry(1));
  });
});
