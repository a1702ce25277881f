import { readFileSync } from 'node:fs';
import { isTold, type Text } from '../../src/catalogue/index.ts';
import { type Problem, sayProblem } from '../../src/site-map/index.ts';
import { escapedWords, pseudoVoice } from './pseudo.ts';

const PSEUDO = await pseudoVoice();
const catalogue: Record<string, Record<string, string>> = JSON.parse(readFileSync('src/catalogue/en.json', 'utf8'));

/** The keys of a message and of all that stands in it. */
export function keysIn(value: unknown): string[] {
  if (typeof value !== 'object' || value === null) return [];
  const own = isTold(value) ? [value.told] : [];
  return [...own, ...Object.values(value).flatMap(keysIn)];
}

/** What a problem says outside the catalogue: not its field, not its id where that is the file's, and no value of the source. */
export function escaped(problem: Problem, source: string): string[] {
  const own = (text: Text | null | undefined) => (typeof text === 'string' ? [text] : []);
  const { id, found, allowed } = problem;
  const isOwn = (text: string) =>
    !/\p{L}{2}/u.test(text) || source.includes(text.replace(/\.{3}$/, '').replace(/^"|"$/g, ''));
  const foreign = [...own(found), ...own(allowed)].filter((text) => !isOwn(text));
  const said = sayProblem(problem, PSEUDO);
  const names = [...own(id), ...own(found), ...own(allowed)];
  return [
    ...foreign,
    ...[said.id ?? '', said.message, said.found ?? '', said.allowed ?? '', said.cure].flatMap((text) =>
      escapedWords(text, names),
    ),
  ];
}

/** Words of other messages that no catalogue said. */
export const escapedFrom = (texts: readonly Text[]) => texts.flatMap((text) => escapedWords(PSEUDO.text(text)));

/** Every key of these sections that none of the values, problems or messages, has in it. */
export function unsaid(values: readonly unknown[], sections: readonly string[]): string[] {
  const said = new Set(values.flatMap(keysIn));
  return sections.flatMap((section) =>
    Object.keys(catalogue[section])
      .map((key) => `${section}.${key}`)
      .filter((key) => !said.has(key)),
  );
}
