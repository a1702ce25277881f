import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parseJson, readSiteMap } from '../../src/site-map/index.ts';
import { english, englishProblems } from '../support/english.ts';

const MB = 1_000_000;
const codesOf = (text: string) => parseJson(text).problems.map(({ code }) => code);
/** ms of this process's own time, however busy the machine is, and bytes of heap that work took: the best of three. */
function costOf(work: () => unknown): { ms: number; bytes: number } {
  const runs = [1, 2, 3].map(() => {
    const [start, before] = [process.cpuUsage(), process.memoryUsage()];
    work();
    const after = process.memoryUsage();
    const { user, system } = process.cpuUsage(start);
    return { ms: (user + system) / 1000, bytes: after.heapUsed - before.heapUsed };
  });
  return { ms: Math.min(...runs.map(({ ms }) => ms)), bytes: Math.min(...runs.map(({ bytes }) => bytes)) };
}

describe('JSON is counted before it is parsed', () => {
  test('20 MB of "[", or of objects, or of keys, are refused within 200 ms and 100 MB', () => {
    const keys = Array.from({ length: 2 * MB }, (_, at) => `"k${at}":0`).join();
    const bombs = [
      { code: 'too-deep', text: '['.repeat(20 * MB) },
      { code: 'too-deep', text: '{"a":'.repeat(4 * MB) },
      { code: 'too-large', text: `[${'{},'.repeat(6 * MB)}{}]` },
      { code: 'too-large', text: `[${'[],'.repeat(6 * MB)}[]]` },
      { code: 'too-large', text: `{${keys}}` },
    ];
    for (const { code, text } of bombs) {
      expect(codesOf(text)).toEqual([code]);
      const { ms, bytes } = costOf(() => parseJson(text));
      expect([text.slice(0, 5), ms < 200, bytes < 100 * MB]).toEqual([text.slice(0, 5), true, true]);
    }
  });

  test('100 deep is read and 101 is not, whatever stands in texts', () => {
    const deep = (count: number) => `${'['.repeat(count)}${']'.repeat(count)}`;
    expect(parseJson(deep(100)).problems).toEqual([]);
    expect(codesOf(deep(101))).toEqual(['too-deep']);
    const text = JSON.stringify({ a: '['.repeat(1000), '{"[': ['\\"[[', '\\'], b: ']]' });
    expect(parseJson(text)).toEqual({ value: JSON.parse(text), problems: [] });
    expect(englishProblems(readSiteMap(deep(101)).problems)).toMatchObject([
      {
        code: 'too-deep',
        id: null,
        message: 'lists and objects in it stand over 100 deep in each other',
        allowed: 'at most 100',
        cure: 'write it flatter; a site map needs no more than 10',
      },
    ]);
  });

  test('whatever is JSON is read as JSON.parse reads it, and nothing else is', () => {
    const pieces = fc.constantFrom(
      '{',
      '}',
      '[',
      ']',
      '"',
      '\\',
      ':',
      ',',
      'a',
      '1',
      ' ',
      '\n',
      '"a"',
      '\\u0041',
      '\uFEFF',
    );
    fc.assert(
      fc.property(
        fc.oneof(
          fc.json(),
          fc.array(pieces, { maxLength: 12 }).map((parts) => parts.join('')),
        ),
        (text) => {
          let expected: unknown;
          try {
            expected = JSON.parse(text.replace(/^\uFEFF/, ''));
          } catch {
            expect(codesOf(text)).toEqual(['not-json']);
            return;
          }
          expect(parseJson(text, 'warn').value).toEqual(expected);
        },
      ),
      { seed: 64, numRuns: 2000 },
    );
  });
});

describe('a key that stands twice in one object', () => {
  test('is refused, with its place, however it is written', () => {
    const text = '{"a":1,"b":{"x":[0,{"y":1,"\\u0079":2}]},"a":3}';
    expect(parseJson(text)).toMatchObject({
      problems: [
        { code: 'bad-field', field: 'b.x[1].y', severity: 'error' },
        { code: 'bad-field', field: 'a' },
      ],
    });
    expect(parseJson(text).value).toBeUndefined();
    // Not in one object, or not a key.
    for (const fine of ['[{"a":1},{"a":1}]', '{"a":{"a":"a"},"b":["a","a"]}', '{"a":"a","b":"a"}'])
      expect(parseJson(fine).problems).toEqual([]);
  });

  test('is found as a parser that knows no keys twice finds it', () => {
    const key = fc.constantFrom('a', 'b', '__proto__', '\\u0061');
    const { value } = fc.letrec<{ value: string; object: string }>((tie) => ({
      value: fc.oneof(
        { maxDepth: 4 },
        fc.constantFrom('1', '"a"', '[]'),
        tie('object'),
        fc.array(tie('value'), { maxLength: 3 }).map((all) => `[${all}]`),
      ),
      object: fc
        .array(fc.tuple(key, tie('value')), { maxLength: 4 })
        .map((all) => `{${all.map(([name, each]) => `"${name}" : ${each}`)}}`),
    }));
    fc.assert(
      fc.property(value, (text) => {
        let written = 0;
        for (const _ of text.matchAll(/ : /g)) written++;
        let kept = 0;
        JSON.parse(text, (_key, each) => {
          if (typeof each === 'object' && each !== null && !Array.isArray(each)) kept += Object.keys(each).length;
          return each;
        });
        // One that is lost takes the keys inside it along.
        expect(parseJson(text, 'warn').problems.length > 0).toBe(kept < written);
      }),
      { seed: 65, numRuns: 2000 },
    );
  });

  test('is a warning in a map, at its feature, and the last one counts', () => {
    const text =
      '{"type":"FeatureCollection","site":{"format":"oilshed-site","version":1},"features":[{"type":"Feature","id":"A","properties":{"kind":"manhole","kind":"outfall","name":"x"},"geometry":{"type":"Point","coordinates":[0,0]}}]}';
    const { map, problems } = readSiteMap(text);
    expect(problems).toMatchObject([{ code: 'duplicate-key', severity: 'warning', id: 'A', field: 'kind' }]);
    expect(map.structures[0].kind).toBe('outfall');
  });

  test('a million of them are told in 21 lines', () => {
    const { problems } = parseJson(`{${'"a":1,'.repeat(1_000_000)}"a":1}`, 'warn');
    expect(problems.length).toBeLessThanOrEqual(21);
    const many = parseJson(`[${'{"a":1,"a":1},'.repeat(1000)}0]`, 'warn').problems;
    expect(many).toHaveLength(21);
    expect(english(many[20].message)).toBe('980 more keys stand twice in one object');
  });
});

describe('names and ids that are not what they look', () => {
  const basin = (id: string, more = {}) => ({
    type: 'Feature',
    id,
    properties: { kind: 'catch-basin', ...more },
    geometry: { type: 'Point', coordinates: [0, 0] },
  });
  const problemsOf = (features: unknown[], site = {}) =>
    readSiteMap(
      JSON.stringify({ type: 'FeatureCollection', site: { format: 'oilshed-site', version: 1, ...site }, features }),
    ).problems;

  test('ids that differ only by their normal form are told', () => {
    expect(problemsOf([basin('Caf\u00e9'), basin('Cafe\u0301'), basin('Cafe')])).toMatchObject([
      { code: 'lookalike-id', severity: 'warning', id: 'Cafe\u0301', field: 'id' },
    ]);
    const pipe = {
      type: 'Feature',
      id: 'P',
      properties: { kind: 'pipe', from: 'Cafe\u0301', to: 'B' },
      geometry: {
        type: 'LineString',
        coordinates: [
          [0, 0],
          [0, 1e-5],
        ],
      },
    };
    expect(englishProblems(problemsOf([basin('Caf\u00e9'), basin('B'), pipe]))).toMatchObject([
      { code: 'unknown-id', id: 'P', field: 'from', message: expect.stringContaining('other characters') },
    ]);
  });

  test('characters that nobody sees are told by their code; joiners of letters are not', () => {
    const names = ['\u001b[31mred', 'gate\u202eetag', 'two\nlines', 'zero\u200bwidth', '\u{e0041}tag'];
    expect(
      problemsOf(names.map((name, at) => basin(`A${at}`, { name }))).map(({ code, field, found }) => [
        code,
        field,
        found,
      ]),
    ).toEqual(['U+001B', 'U+202E', 'U+000A', 'U+200B', 'U+E0041'].map((found) => ['hidden-characters', 'name', found]));
    expect(problemsOf([basin('A\u0000')], { name: 'x\u0007' })).toMatchObject([
      { id: null, field: 'site.name' },
      { id: 'A\u0000', field: 'id' },
    ]);
    expect(problemsOf([basin('A', { name: '\u06a9\u200c\u06af, 👩‍🔧, Café' })])).toEqual([]);
  });
});
