import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse, type Token } from '@messageformat/parser';
import { afterAll, describe, expect, test } from 'vitest';
import { compileCatalogue } from '../../.scripts/catalogue.mjs';

type Sections = Record<string, Record<string, string>>;

const read = (language: string): Sections => JSON.parse(readFileSync(`src/catalogue/${language}.json`, 'utf8'));
const [EN, ES] = [read('en'), read('es')];

const flat = (sections: Sections) =>
  Object.entries(sections).flatMap(([section, messages]) =>
    Object.entries(messages).map(([key, text]): [string, string] => [`${section}.${key}`, text]),
  );

/** What a token reads its value as. A number may choose a plural in one language and stand as it is in another. */
const READ_AS: Readonly<Record<string, string>> = { argument: 'text', select: 'choice' };

/** The names that a message takes, by what they are read as: "count number", "at text". */
const takes = (tokens: readonly Token[]): string[] =>
  tokens.flatMap((token) => {
    if (!('arg' in token)) return [];
    const inner = 'cases' in token ? token.cases.flatMap((each) => takes(each.tokens)) : [];
    return [`${token.arg} ${READ_AS[token.type] ?? 'number'}`, ...inner];
  });

const texts = (file: string) => readFileSync(file, 'utf8');
const source = readdirSync('src', { recursive: true, encoding: 'utf8' })
  .filter((name) => /\.tsx?$/.test(name) && !name.includes('compiled'))
  .map((name) => texts(join('src', name)))
  .join('\n');

describe('the catalogue', () => {
  test('has every message in both languages, and each takes the same', () => {
    const spanish = new Map(flat(ES));
    expect([...spanish.keys()].sort()).toEqual(
      flat(EN)
        .map(([key]) => key)
        .sort(),
    );
    const different = flat(EN).filter(([key, text]) => {
      const [own, other] = [text, spanish.get(key) ?? ''].map((each) => [...new Set(takes(parse(each)))].sort());
      return own.join() !== other.join();
    });
    expect(different).toEqual([]);
  });

  test('has no message that nobody says', () => {
    const said = new Set([...source.matchAll(/['`]([a-z][a-z0-9-]*\.[a-z0-9][a-z0-9-]*)['`]/g)].map(([, key]) => key));
    const begun = [...new Set([...source.matchAll(/`([a-z][a-z0-9-]*\.[a-z0-9-]*)\$\{/g)].map(([, head]) => head))];
    const unsaid = flat(EN).filter(([key]) => !said.has(key) && !begun.some((head) => key.startsWith(head)));
    expect(unsaid.map(([key]) => key)).toEqual([]);
  });

  /** Words that people of one land read as something else, or that two things share. */
  const MISREAD = [
    /\btap(ar|e|en)\b/i,
    /\bregistro/i,
    /\bahorita\b/i,
    /\bmuelle\b/i,
    /\btráiler/i,
    /\bhasta las\b/i,
    /\bdentro de \{(count|days|minutes|when|time)/i,
    /\balcantarilla\b/i,
    /\bpetróleo\b/i,
    /\bremover|remueva\b/i,
    /\basum/i,
    /\bberma\b/i,
    /\btrampa de grasa/i,
  ];

  test('says nothing in Spanish that is misread somewhere', () => {
    const found = flat(ES).filter(([, text]) => MISREAD.some((pattern) => pattern.test(text)));
    expect(found).toEqual([]);
  });

  test('has no exclamation marks, and no straight apostrophes or quotes in what people read', () => {
    const wrong = [...flat(EN), ...flat(ES)].filter(([, text]) => /!|¡|(?<=\p{L})'(?=\p{L})/u.test(text));
    expect(wrong).toEqual([]);
  });
});

describe('compiling', () => {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-catalogue-'));
  afterAll(() => rmSync(folder, { recursive: true }));
  const compile = (languages: Record<string, Sections>) => {
    rmSync(folder, { recursive: true });
    mkdirSync(folder);
    for (const [language, sections] of Object.entries(languages))
      writeFileSync(join(folder, `${language}.json`), JSON.stringify(sections));
    return compileCatalogue(folder);
  };
  const en = { oil: { found: 'Found {litres} in {at}', lids: '{count, plural, one {# lid} other {# lids}}' } };

  test('takes a further language that is one more file', () => {
    const fr = {
      oil: { found: 'Trouvé {litres} dans {at}', lids: '{count, plural, one {# tampon} other {# tampons}}' },
    };
    expect(compile({ en, fr })).toEqual([]);
    const index = texts(join(folder, 'compiled', 'index.ts'));
    expect(index).toContain('LANGUAGES = ["en","fr"]');
    expect(index).toContain('"oil.lids": { count: number }');
  });

  test.each([
    ['a message that is missing', { oil: { found: en.oil.found } }, 'oil.lids is missing'],
    ['one that is not in the English file', { oil: { ...en.oil, more: 'Plus' } }, 'oil.more is not in en.json'],
    ['a parameter that is missing', { oil: { ...en.oil, found: 'Trouvé {litres}' } }, 'oil.found takes {litres: Text}'],
    ['a number read as a text', { oil: { ...en.oil, lids: '{count}' } }, 'oil.lids takes {count: Text}'],
    ['a brace left open', { oil: { ...en.oil, found: 'Trouvé {litres' } }, 'oil.found: '],
    ['a tag that is not in the English one', { oil: { ...en.oil, found: '<b>{litres}</b> {at}' } }, 'other tags'],
  ])('stops at %s', (_, fr, words) => {
    const faults = compile({ en, fr });
    expect(faults.join('\n')).toContain(words);
    expect(() => texts(join(folder, 'compiled', 'index.ts'))).toThrow();
  });
});
