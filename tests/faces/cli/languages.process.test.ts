import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Language, loadMessages } from '../../../src/catalogue/index.ts';
import { madeEntry } from '../../log-book/made.ts';
import { runVerb, type Surroundings } from '../../support/cli.ts';
import { escapedWords, pseudo } from '../../support/pseudo.ts';
import { ANSWERS, DEPOT_TEXT, REFUSALS, VERBS, writeVerbFiles } from '../../support/verbs.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-languages-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A folder of its own with the files that runs name. */
function place(name: string): string {
  const made = join(folder, name);
  mkdirSync(made);
  writeVerbFiles(made);
  return made;
}

/** The language of brackets, which calls itself Spanish. */
const inBrackets: Surroundings['messages'] = async (language: Language) => {
  const messages = await loadMessages('en');
  return language === 'es' ? pseudo(messages) : messages;
};

/** All names and words in a file: a map's own are in no language of the program. */
function wordsIn(value: unknown): string[] {
  if (typeof value === 'string') return [value];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, each]) => [key, ...wordsIn(each)]);
}

const NAMES = [
  ...wordsIn(JSON.parse(DEPOT_TEXT)),
  ...wordsIn(madeEntry(1)),
  ...VERBS.flat(),
  ...[
    'log',
    'people',
    'token',
    'help',
    'oilshed',
    'yard',
    'copy',
    'monday',
    'made',
    'M. Lund',
    'J. Ortega',
    'rain gauge',
  ],
  ...['L0', 'L1', 'L2', 'tarn-lane', 'hash', 'sha256', 'entries', 'lon', 'lat', 'mm/h', 'url', 'shell'],
];

/** Lines of examples, flags, paths, names of files, hashes and tokens, times, days as Intl writes them. */
const NO_PROSE = [
  /^ {2}oilshed .*$/gm,
  /(?<![\w-])--?[a-z][a-z-]*/g,
  /[\w./-]*\/[\w./-]+/g,
  /[\w.-]+\.(?:geojson|graphml|html|json|zip|txt|jpg|jsonl)\b/g,
  /(?<![0-9a-f])[0-9a-f]{64}\b/g,
  /\d{4}-\d\d-\d\dT[\d:.]+(?:Z|[+-]\d\d:\d\d)/g,
  /\b\d{1,2} (?:ene|feb|mar|abr|may|jun|jul|ago|sept|oct|nov|dic)\b/g,
];

/** What no message said, without the names of files and the words of the command. */
const prose = (text: string, words: readonly string[] = []) =>
  escapedWords(
    NO_PROSE.reduce((left, each) => left.replaceAll(each, ' '), text),
    [...NAMES, ...words],
  );

/** Entries carry the time at which they were taken in, and a hash over it; tokens are drawn by chance. */
const timeless = (text: string) =>
  text.replaceAll(/(?<![0-9a-f])[0-9a-f]{64}\b/g, 'HASH').replaceAll(/\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d+Z/g, 'TIME');

const DEPOT = 'freight-depot.geojson';

describe('in a language of brackets', () => {
  let here: string;
  beforeAll(() => {
    here = place('brackets');
  });
  const run = (words: readonly string[], input?: string) =>
    runVerb(words, { input, cwd: here, env: { OILSHED_LANG: 'es' }, messages: inBrackets });

  test.each(ANSWERS)('%j answers with nothing that no message said', { timeout: 60_000 }, async (words, input) => {
    const { stdout, stderr } = await run(words, input);
    expect(stdout).toContain('⟦');
    expect([prose(stdout, words), prose(stderr, words)]).toEqual([[], []]);
  });

  test.each(REFUSALS)('%j refuses with nothing that no message said', async (words, input) => {
    const { status, stderr } = await run(words, input);
    expect(status).toBeGreaterThan(0);
    expect(stderr).toContain('⟦');
    expect(prose(stderr, words)).toEqual([]);
    const asJson = await run([...words, '--json'], input);
    expect(prose(asJson.stderr, words)).toEqual([]);
  });

  test.each([[], ['log'], ['people'], ['people', 'token'], ...VERBS].map((verb) => ({ verb })))(
    'the help of $verb has nothing that no message said',
    async ({ verb }) => {
      const { status, stdout } = await run([...verb, '--help']);
      expect(status).toBe(0);
      expect(prose(stdout)).toEqual([]);
    },
  );

  test('a word that no message said is found', () => {
    expect(prose(`⟦Found⟧ in SEP-1: oil, see ${DEPOT} --json`)).toEqual(['in', 'oil', 'see']);
  });
});

describe('what programs read', () => {
  const languages = ['en', 'es'] as const;
  const answers = new Map<string, string[]>();
  beforeAll(async () => {
    for (const language of languages) {
      const cwd = place(language);
      const said = [];
      for (const [words, input] of ANSWERS) {
        const { status, stdout } = await runVerb([...words, '--json', '--lang', language], { input, cwd });
        said.push(timeless(`${status} ${stdout}`));
      }
      answers.set(language, said);
    }
  }, 300_000);

  test.each(ANSWERS.map(([words], at) => [words, at] as const))('%j is the same in every language', (_words, at) => {
    const [english, spanish] = languages.map((language) => answers.get(language)?.[at]);
    expect(english).toMatch(/^[01] \{\n/);
    expect(spanish).toBe(english);
  });

  test('an entry that has what a message looks like is given back as it is', async () => {
    const cwd = place('told');
    const body = { action: 'swept', told: 'units.days', values: { count: 3 } };
    writeFileSync(join(cwd, 'odd.json'), JSON.stringify(madeEntry(9, { kind: 'action', body })));
    const added = await runVerb(['log', 'add', 'odd.json', '--data', 'odd'], { cwd });
    expect(added.stderr).toBe('');
    const { stdout } = await runVerb(['log', 'list', '--json', '--data', 'odd'], { cwd, env: { OILSHED_LANG: 'es' } });
    expect(JSON.parse(stdout).entries[0].body).toEqual(body);
  });
});

describe('the language that is spoken', () => {
  const cwd = place('spoken');
  const first = async (words: readonly string[], env: NodeJS.ProcessEnv = {}) =>
    (await runVerb(words, { cwd, env })).stdout.split('\n')[0];
  const [ENGLISH, SPANISH] = [/: sound/, /: el mapa está bien/];

  test('is that of the flag, else that of the environment, else that of the map, else English', async () => {
    writeFileSync(join(cwd, 'es.geojson'), DEPOT_TEXT.replace('"currency":', '"language": "es", "currency":'));
    expect(await first(['check', DEPOT])).toMatch(ENGLISH);
    expect(await first(['check', 'es.geojson'])).toMatch(SPANISH);
    expect(await first(['check', 'es.geojson'], { OILSHED_LANG: 'en' })).toMatch(ENGLISH);
    expect(await first(['check', DEPOT], { OILSHED_LANG: 'es' })).toMatch(SPANISH);
    expect(await first(['check', DEPOT, '--lang', 'en'], { OILSHED_LANG: 'es' })).toMatch(ENGLISH);
    for (const words of [
      ['--lang', 'es', 'check', DEPOT],
      ['check', '--lang=es', DEPOT],
      ['check', DEPOT, '--lang', 'es'],
    ])
      expect(await first(words)).toMatch(SPANISH);
    expect(await first(['check', DEPOT], { OILSHED_LANG: '' })).toMatch(ENGLISH);
  });

  test('that is none is an error of use which names those that there are, wherever the word stands', async () => {
    const refused = async (words: readonly string[], env: NodeJS.ProcessEnv = {}) => {
      const { status, stdout, lines } = await runVerb(words, { cwd, env });
      return { status, stdout, lines };
    };
    const line = (name: string, verb = '') =>
      `oilshed: ${name} is "fr"; write one of en, es; see oilshed${verb} --help`;
    expect(await refused(['check', DEPOT, '--lang', 'fr'])).toEqual({
      status: 2,
      stdout: '',
      lines: [line('--lang', ' check')],
    });
    expect((await refused(['--help'], { OILSHED_LANG: 'fr' })).lines).toEqual([line('OILSHED_LANG')]);
    expect((await refused(['check', DEPOT, '--lang'], {})).status).toBe(2);
    expect((await refused(['check', DEPOT, '--lang', 'es'], { OILSHED_LANG: 'fr' })).status).toBe(0);
    // A word of a verb behind "--" is no flag.
    expect((await refused(['log', 'add', '--', '--lang'], { OILSHED_LANG: 'es' })).lines).toEqual([
      '--lang: no existe ese archivo; revise el nombre',
    ]);
  });

  test('is that of help, with the words of the library, whichever way it is asked for', async () => {
    const asked = [
      { words: ['block', '--help', '--lang', 'es'] },
      { words: ['block', '--help'], env: { OILSHED_LANG: 'es' } },
      { words: ['help', 'block'], env: { OILSHED_LANG: 'es' } },
      { words: ['--lang', 'es', 'help', 'block'] },
    ];
    const helps = [];
    for (const { words, env } of asked) helps.push(await runVerb(words, { cwd, env }));
    for (const { status, stdout } of helps) expect([status, stdout]).toEqual([0, helps[0].stdout]);
    expect(helps[0].stdout).toMatch(
      /^Uso: oilshed block \[opciones\] <mapa>\n\n¿qué se puede detener aún de un derrame/,
    );
    expect(helps[0].stdout).toContain('\nOpciones:\n');
    expect(helps[0].stdout).toContain('--findings <archivo>');
    const ofSources = (await runVerb(['sources', '--help', '--lang', 'es'])).stdout;
    expect(ofSources.replaceAll(/\s+/g, ' ')).toContain('la misma respuesta (por defecto: 1)');
    const { stdout } = await runVerb(['--help', '--lang', 'es']);
    expect(stdout).toContain('\nVerbos:\n');
    for (const english of ['Usage', 'Options', 'Commands', 'default', 'display'])
      expect(stdout + helps[0].stdout).not.toContain(english);
  });

  test.each([
    [['chek'], 'no existe el verbo chek; ¿quiso decir check?; vea oilshed --help'],
    [['check'], 'después del verbo falta <mapa>; vea oilshed check --help'],
    [['import', '--out', 'x'], 'después del verbo falta <archivos...>; vea oilshed import --help'],
    [['check', DEPOT, '--jsonn'], 'no existe la opción --jsonn; ¿quiso decir --json?; vea oilshed check --help'],
    [['cards', DEPOT], 'falta --out <archivo>; escríbalo también; vea oilshed cards --help'],
    [['cards', DEPOT, '--out'], 'no hay nada después de --out <archivo>; escriba su valor; vea oilshed cards --help'],
    [
      ['people', 'remove', 'M.', 'Lund'],
      'sobran palabras: el verbo lleva 1 y hay 2; escriba entre comillas un nombre con espacios; vea oilshed people remove --help',
    ],
  ])('says what is wrong with the words %j', async (words, line) => {
    expect(await runVerb(words, { cwd, env: { OILSHED_LANG: 'es' } })).toMatchObject({
      status: 2,
      lines: [`oilshed: ${line}`],
    });
  });

  test('is the only one whose messages are loaded, but for English where programs are answered', async () => {
    const loaded = async (...words: string[]) => {
      const asked = new Set<Language>();
      await runVerb(words, {
        cwd,
        messages: (language) => {
          asked.add(language);
          return loadMessages(language);
        },
      });
      return [...asked];
    };
    expect(await loaded('check', DEPOT)).toEqual(['en']);
    expect(await loaded('check', DEPOT, '--lang', 'es')).toEqual(['es']);
    expect(await loaded('check', DEPOT, '--lang', 'es', '--json')).toEqual(['es', 'en']);
  });

  test('has columns as wide as its letters, composed or not', async () => {
    const map = JSON.parse(DEPOT_TEXT);
    const zones = map.features.filter(({ properties }: { properties: { kind: string } }) => properties.kind === 'zone');
    zones[0].properties.name = 'Área de camión'.normalize('NFD');
    zones[1].properties.name = 'Área de camión'.normalize('NFC');
    writeFileSync(join(cwd, 'letters.geojson'), JSON.stringify(map));
    const { stdout } = await runVerb(['shed', 'letters.geojson', '--at', 'SEP-1', '--lang', 'es'], { cwd });
    const widths = stdout
      .normalize('NFC')
      .split('\n')
      .filter((line) => /%$|LLEGA$/.test(line))
      .map((line) => line.length);
    expect(widths.length).toBeGreaterThan(10);
    expect(new Set(widths).size).toBe(1);
  });
});
