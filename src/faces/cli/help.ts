import { type Command, type CommanderError, Help, type HelpConfiguration, type Option } from 'commander';
import type { Key } from '../../catalogue/index.ts';
import { widthOf } from './print.ts';
import { say } from './voice.ts';

/** What stands in brackets for a word that a person puts there: `<file>`, `[person]`. It is told in the person's language. */
const PLACES = {
  options: 'cli-help.word-options',
  command: 'cli-help.word-command',
  map: 'cli-help.word-map',
  file: 'cli-help.word-file',
  'files...': 'cli-help.word-files',
  folder: 'cli-help.word-folder',
  entry: 'cli-help.word-entry',
  'id or lon,lat': 'cli-help.word-id-or-position',
  litres: 'cli-help.word-litres',
  minutes: 'cli-help.word-minutes',
  metres: 'cli-help.word-metres',
  share: 'cli-help.word-share',
  number: 'cli-help.word-number',
  money: 'cli-help.word-money',
  fluid: 'cli-help.word-fluid',
  'a4 or letter': 'cli-help.word-paper',
  year: 'cli-help.word-year',
  site: 'cli-help.word-site',
  name: 'cli-help.word-name',
  person: 'cli-help.word-person',
  role: 'cli-help.word-role',
  rule: 'cli-help.word-rule',
  activity: 'cli-help.word-activity',
  address: 'cli-help.word-address',
  size: 'cli-help.word-size',
  language: 'cli-help.word-language',
  hands: 'cli-help.word-hands',
  day: 'cli-help.word-day',
} as const satisfies Record<string, Key>;

const isPlace = (word: string): word is keyof typeof PLACES => Object.hasOwn(PLACES, word);

/** Flags, arguments or usage with what stands in brackets in the language that is spoken. */
const inLanguage = (flags: string) =>
  flags.replace(/(?<=[<[])[^>\]]+(?=[>\]])/g, (word) => (isPlace(word) ? say(PLACES[word]) : word));

const TITLES: ReadonlyMap<string, Key> = new Map<string, Key>([
  ['Usage:', 'cli-help.usage'],
  ['Options:', 'cli-help.options'],
  ['Commands:', 'cli-help.commands'],
]);

/** How help is laid out and titled: as the library does it, in the language that is spoken. */
export function spokenHelp(): HelpConfiguration {
  const plain = new Help();
  return {
    styleTitle(title) {
      const key = TITLES.get(title);
      return key ? say(key) : title;
    },
    optionTerm: ({ flags }) => inLanguage(flags),
    optionDescription: ({ description, defaultValue: value }: Option) =>
      typeof value === 'string' ? say('cli-help.default', { description, value }) : description,
    subcommandTerm: (command) => inLanguage(plain.subcommandTerm(command)),
    commandUsage: (command) => inLanguage(plain.commandUsage(command)),
    displayWidth: widthOf,
  };
}

/** What the library found wrong with the words behind a verb. It names things only within its message, between quotes. */
export function usageWords({ code, message }: CommanderError, asked: Command): string {
  const name = inLanguage(/'([^']*)'/.exec(message)?.[1] ?? '');
  const like = /\(Did you mean (?:one of )?(.+)\?\)/.exec(message)?.[1];
  switch (code) {
    case 'commander.help':
      return noVerb(asked);
    case 'commander.unknownCommand':
      return like === undefined
        ? say('cli-errors.unknown-verb', { name })
        : say('cli-errors.unknown-verb-like', { name, like });
    case 'commander.unknownOption':
      return like === undefined
        ? say('cli-errors.unknown-option', { flag: name })
        : say('cli-errors.unknown-option-like', { flag: name, like });
    case 'commander.missingArgument': {
      const isMany = asked.registeredArguments.some((each) => each.variadic && each.name() === name);
      return say('cli-errors.argument-missing', { name: inLanguage(`<${name}${isMany ? '...' : ''}>`) });
    }
    case 'commander.optionMissingArgument':
      return say('cli-errors.option-value-missing', { flags: name });
    case 'commander.missingMandatoryOptionValue':
      return say('cli-errors.option-missing', { flags: name });
    case 'commander.excessArguments':
      return say('cli-errors.too-many', { expected: asked.registeredArguments.length, given: asked.args.length });
    default:
      return message;
  }
}

const noVerb = (command: Command) =>
  say('cli-errors.no-verb', {
    command: nameOf(command),
    verbs: command.commands.map((each) => each.name()).join(', '),
  });

/** A verb with those before it: "oilshed log add". */
export const nameOf = (command: Command): string =>
  command.parent ? `${nameOf(command.parent)} ${command.name()}` : command.name();
