// Compiles the catalogue (src/catalogue/LANGUAGE.json) into src/catalogue/compiled: the messages of each language as the library reads
// them, and the names of all messages with what each takes, as types. It stops where a language lacks a message of the English
// file, has one that is not there, or takes other parameters. A further language is one more file.
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { compileMessage } from '@lingui/message-utils/compileMessage';
import { parse } from '@messageformat/parser';
import { root } from './built.mjs';

/** Sections that the web app never says; its pages come without them. */
const NOT_IN_PAGE = ['cli', 'cli-help', 'cli-errors', 'cards', 'report', 'server', 'calendar', 'store', 'import'];

const FIRST = 'en';
const TYPES = { plural: 'number', selectordinal: 'number', number: 'number', select: 'string' };

/** All messages of a language by "section.key". */
function readMessages(file) {
  const sections = JSON.parse(readFileSync(file, 'utf8'));
  return new Map(
    Object.entries(sections).flatMap(([section, messages]) =>
      Object.entries(messages).map(([key, text]) => [`${section}.${key}`, text]),
    ),
  );
}

/** What a message takes, by name: "Text", "number" or "string". */
function parametersOf(tokens, found = new Map()) {
  for (const token of tokens) {
    const { type, arg, key } = token;
    if (arg === undefined) continue;
    const taken = type === 'argument' ? 'Text' : TYPES[type === 'function' ? key : type];
    if (taken === undefined) throw new Error(`{${arg}, ${key}} is no plural, select or number`);
    const before = found.get(arg) ?? taken;
    if ([before, taken].includes('number') && before !== taken)
      throw new Error(`{${arg}} is a number and a text; write # or {${arg}, number}`);
    found.set(arg, [before, taken].includes('string') ? 'string' : taken);
    for (const each of token.cases ?? []) parametersOf(each.tokens, found);
  }
  return found;
}

const tagsOf = (text) => (text.match(/<\/?[a-z]+>/g) ?? []).sort().join(' ');
const written = (parameters) => [...parameters].sort().map(([name, type]) => `${name}: ${type}`);

/** Every message of a language with its parameters; what is wrong is added to `faults`. */
function understood(folder, language, faults) {
  const messages = new Map();
  for (const [name, text] of readMessages(join(folder, `${language}.json`))) {
    try {
      if (!/^[a-z][a-z0-9-]*\.[a-z0-9][a-z0-9-]*$/.test(name)) throw new Error('write its name in kebab-case');
      messages.set(name, { text, takes: written(parametersOf(parse(text))).join('; ') });
    } catch (error) {
      faults.push(`${language}.json: ${name}: ${error.message}`);
    }
  }
  return messages;
}

function compare(language, messages, first, faults) {
  for (const [name, { text, takes }] of first) {
    const own = messages.get(name);
    if (!own) faults.push(`${language}.json: ${name} is missing`);
    else if (own.takes !== takes)
      faults.push(`${language}.json: ${name} takes {${own.takes}}, the English one {${takes}}`);
    else if (tagsOf(own.text) !== tagsOf(text))
      faults.push(`${language}.json: ${name} has other tags than the English one`);
  }
  for (const name of messages.keys())
    if (!first.has(name)) faults.push(`${language}.json: ${name} is not in ${FIRST}.json`);
}

const source = (messages) => {
  const lines = messages.map(
    ([name, { text }]) => `  ${JSON.stringify(name)}: ${JSON.stringify(compileMessage(text))},`,
  );
  return `import type { Messages } from './index.ts';\n\nconst messages: Messages = {\n${lines.join('\n')}\n};\nexport default messages;\n`;
};

/** The file that all else imports. */
function indexSource(first, languages) {
  const keys = [...first].map(([name, { takes }]) => `  ${JSON.stringify(name)}: {${takes && ` ${takes} `}};`);
  const loaders = (part) => languages.map((each) => `  ${each}: () => import('./${each}.${part}.ts'),`).join('\n');
  return `import type { CompiledMessage } from '@lingui/message-utils/compileMessage';
import type { Text } from '../told.ts';

/** What each message takes. */
export interface Parameters {
${keys.join('\n')}
}

export type Key = keyof Parameters;
/** Messages that the web app can say. */
export type PageKey = Exclude<Key, ${NOT_IN_PAGE.map((section) => `\`${section}.\${string}\``).join(' | ')}>;

export const LANGUAGES = ${JSON.stringify(languages)} as const;
export type Language = (typeof LANGUAGES)[number];

/** Compiled messages of one language, by key. */
export type Messages = Readonly<Record<string, CompiledMessage>>;

const PAGE = {
${loaders('page')}
};
const REST = {
${loaders('rest')}
};

/** The messages of a language that a page can say. */
export const loadPageMessages = async (language: Language): Promise<Messages> => (await PAGE[language]()).default;

/** All messages of a language. */
export const loadMessages = async (language: Language): Promise<Messages> => ({
  ...(await loadPageMessages(language)),
  ...(await REST[language]()).default,
});
`;
}

/** Writes what changed, so that what watches files is left in peace. */
function write(path, text) {
  if (!existsSync(path) || readFileSync(path, 'utf8') !== text) writeFileSync(path, text);
  return path;
}

/** Compiles all languages of a folder. Comes back with what is wrong, a line each; then nothing is written. */
export function compileCatalogue(folder = join(root, 'src', 'catalogue')) {
  const faults = [];
  const names = readdirSync(folder).filter((name) => name.endsWith('.json'));
  const languages = names.map((name) => name.slice(0, -'.json'.length)).sort();
  const all = new Map(languages.map((language) => [language, understood(folder, language, faults)]));
  const first = all.get(FIRST);
  for (const [language, messages] of all) if (language !== FIRST) compare(language, messages, first, faults);
  if (faults.length > 0) return faults;
  const compiled = join(folder, 'compiled');
  mkdirSync(compiled, { recursive: true });
  const files = [write(join(compiled, 'index.ts'), indexSource(first, languages))];
  for (const [language, messages] of all) {
    const isPage = ([name]) => !NOT_IN_PAGE.includes(name.split('.')[0]);
    files.push(write(join(compiled, `${language}.page.ts`), source([...messages].filter(isPage))));
    files.push(write(join(compiled, `${language}.rest.ts`), source([...messages].filter((each) => !isPage(each)))));
  }
  for (const path of readdirSync(compiled).map((name) => join(compiled, name))) if (!files.includes(path)) rmSync(path);
  return faults;
}

/** Compiles all languages, or says what is wrong and ends the program. */
export function compileOrStop() {
  const faults = compileCatalogue();
  for (const fault of faults) console.error(fault);
  if (faults.length > 0) process.exit(1);
}

if (process.argv[1] === import.meta.filename) compileOrStop();
