import { existsSync, readdirSync, readFileSync } from 'node:fs';
import tab, { script } from '@bomb.sh/tab';
import type { Command } from 'commander';
import { LANGUAGES } from '../../catalogue/index.ts';
import { ACTIVITIES, FLUIDS, readSiteMap, type SiteMap } from '../../site-map/index.ts';
import { ROLES } from '../../store/index.ts';
import { oneOf } from './input.ts';

const SHELLS = ['bash', 'zsh', 'fish', 'powershell'];

/** `oilshed completion SHELL`: the lines by which a shell completes the program's words. */
export function completion(shell: string): number {
  script(oneOf('<shell>', shell, SHELLS), 'oilshed', 'oilshed');
  return 0;
}

/** What those lines ask: how the last of these words may go on. Verbs, options, files, fluids and such, ids of a map named before. */
export function complete(program: Command, words: readonly string[]): number {
  describe(program, [], words);
  tab.parse([...words]);
  return 0;
}

/** Tells the library of every verb, with its options and what may stand behind them. */
function describe(parent: Command, path: readonly string[], words: readonly string[]): void {
  const help = parent.createHelp();
  for (const command of help.visibleCommands(parent)) {
    const names = [...path, command.name()];
    const known = tab.command(names.join(' '), command.description());
    const offer = (what: string) => (add: (value: string, words: string) => void) => {
      for (const value of valuesFor(what, words)) add(value, '');
    };
    for (const { long, description, flags } of help.visibleOptions(command)) {
      const name = long?.slice(2) ?? '';
      if (flags.includes('<')) known.option(name, description, offer(flags));
      else known.option(name, description);
    }
    for (const argument of command.registeredArguments)
      known.argument(argument.name(), offer(`<${argument.name()}>`), argument.variadic);
    describe(command, names, words);
  }
}

/** The values that an option or argument may have, by its name in the help. */
const VALUES: readonly [flags: RegExp, values: (words: readonly string[]) => Iterable<string>][] = [
  [/<(map|files?|files\.\.\.|folder|entry)>/, (words) => pathsFrom(words.at(-1)?.replace(/^--[a-z-]+=/, '') ?? '')],
  [/<fluid>/, () => [...FLUIDS, 'unknown']],
  [/<activity>/, () => ACTIVITIES],
  [/<role>/, () => ROLES],
  [/<a4 or letter>/, () => ['a4', 'letter']],
  [/<language>/, () => LANGUAGES],
  [/<shell>/, () => SHELLS],
  [/--zone </, (words) => mapOf(words)?.zones.map(({ id }) => id) ?? []],
  [/--(at|from) </, (words) => walkerIds(mapOf(words))],
  [/--(crew|hands) </, (words) => ['here', ...walkerIds(mapOf(words))]],
];

function valuesFor(what: string, words: readonly string[]): Iterable<string> {
  try {
    return VALUES.find(([flags]) => flags.test(what))?.[1](words) ?? [];
  } catch {
    // Where a file or folder cannot be read there is nothing to offer.
    return [];
  }
}

/** The places that a path goes on to; where that is one folder, what is in it. */
function pathsFrom(begun: string): string[] {
  const folder = begun.slice(0, begun.lastIndexOf('/') + 1);
  const paths = readdirSync(folder || '.', { withFileTypes: true })
    .filter(({ name }) => !name.startsWith('.'))
    .map((each) => `${folder}${each.name}${each.isDirectory() ? '/' : ''}`)
    .filter((path) => path.startsWith(begun));
  return paths.length === 1 && paths[0].endsWith('/') ? pathsFrom(paths[0]) : paths;
}

/** The map among the words so far. */
function mapOf(words: readonly string[]): SiteMap | undefined {
  const files = words.slice(0, -1).filter((word) => /json$/i.test(word) && existsSync(word));
  return files
    .map((file) => readSiteMap(readFileSync(file, 'utf8')).map)
    .find(({ structures }) => structures.length > 0);
}

const walkerIds = (map: SiteMap | undefined) => {
  const points = map?.others.filter(({ geometry }) => geometry.type === 'Point') ?? [];
  return [...(map?.structures ?? []), ...points].map(({ id }) => id);
};
