import { describe, expect, test } from 'vitest';
import { told } from '../../src/catalogue/index.ts';
import {
  behindHead,
  canonicalText,
  headsText,
  type KeptHeads,
  keptHeads,
  readHeads,
} from '../../src/log-book/index.ts';
import { english, englishProblems } from '../support/english.ts';
import { sha256, siteOf } from './made.ts';

const [A, B, C] = ['a', 'b', 'c'].map((letter) => letter.repeat(64));
const kept: KeptHeads = {
  heads: [
    { site: siteOf('tarn-lane'), seq: 5, hash: A },
    { site: siteOf('yard "west"'), seq: 1, hash: B },
  ],
  people: { seq: 3, hash: C },
};

describe('heads that are kept', () => {
  test('are those of chains with an entry, and of a record of people with an event', () => {
    const none = { seq: 0, hash: null };
    expect(
      keptHeads(
        [
          { site: siteOf('tarn-lane'), seq: 5, hash: A },
          { site: siteOf('new'), ...none },
        ],
        none,
      ),
    ).toEqual({
      heads: [{ site: siteOf('tarn-lane'), seq: 5, hash: A }],
      people: null,
    });
    expect(keptHeads([], { seq: 3, hash: C })).toEqual({ heads: [], people: { seq: 3, hash: C } });
  });

  test('come back from their file as they were, whatever the site is called and however few there are', () => {
    for (const each of [kept, { heads: [], people: null }, { ...kept, people: null }])
      expect(readHeads(headsText(each, sha256), sha256)).toEqual({ kept: each, problems: [] });
  });

  test('stand in it a line each, over the SHA-256 of the RFC 8785 text of everything else', () => {
    const check = sha256(Buffer.from(canonicalText({ format: 'oilshed-heads', version: 1, ...kept })));
    expect(headsText(kept, sha256)).toBe(
      `{"format": "oilshed-heads", "version": 1, "heads": [
  {"site":"tarn-lane","seq":5,"hash":"${A}"},
  {"site":"yard \\"west\\"","seq":1,"hash":"${B}"}
 ],
 "people": {"seq":3,"hash":"${C}"}, "sha256": "${check}"}
`,
    );
    expect(headsText({ heads: [], people: null }, sha256)).toContain('"heads": [],');
  });

  test('are refused where anything in the file was changed, with what to do', () => {
    const text = headsText(kept, sha256);
    for (const [from, to] of [
      ['tarn-lane', 'tarn-lanf'],
      ['"seq":5', '"seq":4'],
      [A, C],
      ['"seq":3', '"seq":2'],
    ]) {
      const { kept: read, problems } = readHeads(text.replace(from, to), sha256);
      expect(read).toBeUndefined();
      expect(englishProblems(problems)).toEqual([
        expect.objectContaining({
          code: 'bad-file',
          field: 'sha256',
          message: 'its heads do not give its SHA-256',
          cure: 'take a copy that nobody changed',
        }),
      ]);
    }
  });

  test('are refused where the file is none of theirs, every fault told', () => {
    const fields = (text: string) => readHeads(text, sha256).problems.map(({ field }) => field);
    const wrong = {
      format: 'oilshed-site',
      version: 2,
      heads: [{ site: '', seq: 0, hash: 'x' }],
      people: 3,
      sha256: A,
    };
    expect(fields(JSON.stringify(wrong)).sort()).toEqual([
      'format',
      'heads[0].hash',
      'heads[0].seq',
      'heads[0].site',
      'people',
      'version',
    ]);
    const cut = readHeads(headsText(kept, sha256).slice(0, -9), sha256);
    expect(cut.kept).toBeUndefined();
    expect(cut.problems).toHaveLength(1);
  });
});

describe('what a book lacks of a head', () => {
  const head = kept.heads[0];
  const look = told('store.compare-export');
  const messages = (end: number, found: string | null) =>
    behindHead(head, end, found, look).map((each) => english(each.message));

  test('is nothing where its entry is there, however far the book went on', () => {
    expect(messages(5, A)).toEqual([]);
    expect(messages(9, A)).toEqual([]);
  });

  test('is the entries that are gone from its end', () => {
    expect(messages(4, null)).toEqual(['entry 5 is gone from the end of tarn-lane, by the head that was kept of it']);
    expect(messages(2, null)).toEqual([
      'entries 3 to 5 are gone from the end of tarn-lane, by the head that was kept of it',
    ]);
    expect(messages(0, null)).toEqual([
      'entries 1 to 5 are gone from the end of tarn-lane, by the head that was kept of it',
    ]);
  });

  test('or another entry in its place, with both hashes', () => {
    expect(englishProblems(behindHead(head, 5, B, look))).toEqual([
      expect.objectContaining({
        code: 'log-behind',
        message: 'entry 5 of tarn-lane is another than the head that was kept of it',
        found: B,
        allowed: A,
        cure: english(look),
      }),
    ]);
    expect(englishProblems(behindHead(head, 4, null, look))[0].found).toBe('nothing');
  });
});
