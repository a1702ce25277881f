import { Command, CommanderError } from 'commander';
import { version } from '../../../package.json';
import { LANGUAGES } from '../../catalogue/index.ts';
import type { FindingsSource } from './findings.ts';
import { nameOf, spokenHelp, usageWords } from './help.ts';
import { InputError, UsageError } from './input.ts';
import { beQuiet } from './notes.ts';
import { endProgress, startProgress } from './progress.ts';
import { say, speakToPrograms } from './voice.ts';
import { type World, withWorld, world } from './world.ts';

const INPUT_WRONG = 1;
const USAGE_WRONG = 2;

/** A verb comes back with the exit status. Each is loaded only when it is asked for, so that the program starts fast. */
type Verb = () => Promise<number>;

interface FindingsFlags {
  findings?: string;
  log?: boolean;
  site?: string;
  data?: string;
}

/** The options that say where findings stand: in a file, or in the log book. */
const takesFindings = (command: Command, summary: string) =>
  command
    .option('--findings <file>', summary)
    .option('--log', say('cli-help.findings-log'))
    .option('--site <site>', say('cli-help.site'))
    .option('--data <folder>', say('cli-help.findings-data'));

/** Where the flags say that findings stand; undefined where they do not say. */
async function findingsPlace({ findings, log, site, data }: FindingsFlags): Promise<FindingsSource | undefined> {
  if (findings !== undefined && log) throw new UsageError(say('cli-errors.findings-twice'));
  return log ? (await import('./log-findings.ts')).logFindings({ site, data }) : findings;
}

async function findingsOf(flags: FindingsFlags): Promise<FindingsSource> {
  const place = await findingsPlace(flags);
  if (place !== undefined) return place;
  throw new UsageError(say('cli-errors.findings-missing'));
}

/** What a group of verbs is written with: a verb, a verb of several words (`oilshed log add`), and what runs it. */
interface Writing {
  program: Command;
  verb(name: string, summary: string, example: string): Command;
  verbsOf(group: string, question: string): Writing['verb'];
  run(verb: Verb): Promise<void>;
}

const takesLanguage = (command: Command) =>
  command.option('--lang <language>', say('cli-help.lang', { languages: LANGUAGES.join(', ') }));

/** Writes verbs under a command; `before` is what stands before them in their examples. */
const under = (parent: Command, before: string) => (name: string, summary: string, example: string) =>
  takesLanguage(parent.command(name).description(summary).option('-q, --quiet', say('cli-help.quiet'))).addHelpText(
    'after',
    `\n${say('cli-help.example')}\n  oilshed ${before}${example}`,
  );

const helpsWithVerbs = (command: Command) => command.helpCommand('help [command]', say('cli-help.help-verb'));

function buildProgram(run: Writing['run']): Command {
  // Verbs take these settings over. What commander finds wrong is said in one line by whoever runs the words.
  const program = takesLanguage(new Command('oilshed'))
    .description(say('cli-help.oilshed'))
    .version(version, '-V, --version', say('cli-help.version'))
    .helpOption('-h, --help', say('cli-help.help'))
    .configureHelp(spokenHelp())
    .exitOverride()
    .showHelpAfterError(false)
    .configureOutput({ writeOut: (text) => world().write(text), writeErr: () => {} })
    .addHelpText('after', `\n${say('cli-help.units')}\n${say('cli-help.status')}`);
  helpsWithVerbs(program);
  const verbsOf = (group: string, question: string) =>
    under(helpsWithVerbs(program.command(group).description(question)), `${group} `);
  const writing: Writing = { program, verb: under(program, ''), verbsOf, run };
  for (const write of [questionVerbs, spillVerbs, planVerbs, logVerbs, peopleVerbs, otherVerbs]) write(writing);
  return program;
}

function questionVerbs({ verb, run }: Writing): void {
  verb('check <map>', say('cli-help.check'), 'check site-maps/freight-depot.geojson')
    .option('--json', say('cli-help.json'))
    .action((map, flags) => run(async () => (await import('./verbs/check.ts')).check(map, flags)));

  verb(
    'shed <map>',
    say('cli-help.shed'),
    `shed site-maps/freight-depot.geojson --at SEP-1
  oilshed shed site-maps/freight-depot.geojson --graph depot.graphml`,
  )
    .option('--at <id>', say('cli-help.shed-at'))
    .option('--graph <file>', say('cli-help.shed-graph'))
    .option('--json', say('cli-help.json'))
    .action((map, flags) => run(async () => (await import('./verbs/shed.ts')).shed(map, flags)));

  takesFindings(
    verb(
      'sources <map>',
      say('cli-help.sources'),
      'sources site-maps/freight-depot.geojson --findings site-maps/freight-depot.findings.json',
    ),
    say('cli-help.sources-findings'),
  )
    .option('--at <id>', say('cli-help.sources-at'))
    .option('--from <id|lon,lat>', say('cli-help.sources-from'))
    .option('--release-litres <litres>', say('cli-help.sources-release'))
    .option('--unmapped <share>', say('cli-help.sources-unmapped'))
    .option('--history <file>', say('cli-help.sources-history'))
    .option('--seed <number>', say('cli-help.seed'), '1')
    .option('--json', say('cli-help.json'))
    .action((map, flags) =>
      run(async () =>
        (await import('./verbs/sources.ts')).sources(map, { ...flags, findings: await findingsOf(flags) }),
      ),
    );

  takesFindings(
    verb(
      'learn <map>',
      say('cli-help.learn'),
      'learn site-maps/freight-depot.geojson --findings site-maps/freight-depot.findings.json',
    ),
    say('cli-help.all-findings'),
  )
    .option('--seed <number>', say('cli-help.seed'), '1')
    .option('--json', say('cli-help.json'))
    .action((map, flags) =>
      run(async () => (await import('./verbs/learn.ts')).learn(map, { ...flags, findings: await findingsOf(flags) })),
    );
}

function spillVerbs({ verb, run }: Writing): void {
  const spillVerb = (name: string, summary: string, example: string) =>
    verb(`${name} <map>`, summary, example)
      .option('--zone <id>', say('cli-help.spill-zone'))
      .option('--point <lon,lat>', say('cli-help.spill-point'))
      .option('--litres <litres>', say('cli-help.spill-litres'))
      .option('--fluid <fluid>', say('cli-help.spill-fluid'))
      .option('--rain <mm/h>', say('cli-help.spill-rain'))
      .option('--over <minutes>', say('cli-help.spill-over'))
      .option('--still', say('cli-help.spill-still'))
      .option('--until <minutes>', say('cli-help.spill-until'))
      .option('--ago <minutes>', say('cli-help.spill-ago'))
      .option('--json', say('cli-help.json'));

  takesFindings(
    spillVerb(
      'spill',
      say('cli-help.spill'),
      'spill site-maps/freight-depot.geojson --zone Z1 --litres 200 --fluid diesel --rain 10',
    ),
    say('cli-help.spill-findings'),
  ).action((map, flags) =>
    run(async () => (await import('./verbs/spill.ts')).spill(map, { ...flags, findings: await findingsPlace(flags) })),
  );

  takesFindings(
    spillVerb(
      'block',
      say('cli-help.block'),
      'block site-maps/freight-depot.geojson --zone Z1 --litres 200 --fluid diesel',
    ),
    say('cli-help.block-findings'),
  )
    .option('--hands <hands>', say('cli-help.block-hands'))
    .option('--crew <id or lon,lat>', say('cli-help.block-crew'))
    .option('--on <day>', say('cli-help.block-on'))
    .option('--brief', say('cli-help.block-brief'))
    .option('--margin <minutes>', say('cli-help.block-margin'))
    .action((map, flags) =>
      run(async () =>
        (await import('./verbs/block.ts')).block(map, { ...flags, findings: await findingsPlace(flags) }),
      ),
    );
}

function planVerbs({ verb, run }: Writing): void {
  verb('kits <map>', say('cli-help.kits'), 'kits site-maps/freight-depot.geojson --count 3')
    .option('--count <number>', say('cli-help.kits-count'))
    .option('--within <minutes>', say('cli-help.kits-within'))
    .option('--keep', say('cli-help.kits-keep'))
    .option('--no-hints', say('cli-help.kits-hints'))
    .option('--json', say('cli-help.json'))
    .action((map, flags) => run(async () => (await import('./verbs/kits.ts')).kits(map, flags)));

  verb(
    'cards <map>',
    say('cli-help.cards'),
    'cards site-maps/freight-depot.geojson --out cards.pdf --link https://yard.example',
  )
    .requiredOption('--out <file>', say('cli-help.out'))
    .option('--paper <a4 or letter>', say('cli-help.paper'))
    .option('--litres <litres>', say('cli-help.cards-litres'))
    .option('--rain <mm/h>', say('cli-help.cards-rain'))
    .option('--link <url>', say('cli-help.cards-link'))
    .option('--json', say('cli-help.json'))
    .action((map, flags) => run(async () => (await import('./verbs/cards.ts')).cards(map, flags)));

  verb('measures <map>', say('cli-help.measures'), 'measures site-maps/freight-depot.geojson --budget 5000')
    .requiredOption('--budget <money>', say('cli-help.measures-budget'))
    .option('--seed <number>', say('cli-help.measures-seed'), '1')
    .option('--json', say('cli-help.json'))
    .action((map, flags) => run(async () => (await import('./verbs/measures.ts')).measures(map, flags)));

  takesFindings(
    verb(
      'upkeep <map>',
      say('cli-help.upkeep'),
      'upkeep site-maps/freight-depot.geojson --findings site-maps/freight-depot.findings.json',
    ),
    say('cli-help.all-findings'),
  )
    .option('--rain <mm/h>', say('cli-help.upkeep-rain'))
    .option('--json', say('cli-help.json'))
    .action((map, flags) =>
      run(async () => (await import('./verbs/upkeep.ts')).upkeep(map, { ...flags, findings: await findingsOf(flags) })),
    );

  verb(
    'report <map>',
    say('cli-help.report'),
    'report site-maps/freight-depot.geojson --visit last --out visit.pdf --data yard',
  )
    .requiredOption('--out <file>', say('cli-help.out'))
    .option('--visit <entry>', say('cli-help.report-visit'))
    .option('--year <year>', say('cli-help.report-year'))
    .option('--site <site>', say('cli-help.report-site'))
    .option('--data <folder>', say('cli-help.data'))
    .option('--paper <a4 or letter>', say('cli-help.paper'))
    .option('--json', say('cli-help.json'))
    .action((map, flags) => run(async () => (await import('./verbs/report.ts')).report(map, flags)));
}

/** The options of every verb about the log book. */
const takesBook = (command: Command) =>
  command.option('--data <folder>', say('cli-help.data')).option('--json', say('cli-help.json'));

function logVerbs({ verbsOf, run }: Writing): void {
  const verbOf = verbsOf('log', say('cli-help.log'));
  const logVerb: Writing['verb'] = (...words) => takesBook(verbOf(...words));
  const loadLog = () => import('./verbs/log.ts');

  logVerb('add <entry>', say('cli-help.log-add'), 'add visit.json --photo lid.jpg --data yard')
    .option('--photo <files...>', say('cli-help.log-photo'))
    .option('--map <file>', say('cli-help.log-map'))
    .action((entry, flags) => run(async () => (await loadLog()).add(entry, flags)));

  logVerb('list', say('cli-help.log-list'), 'list --site tarn-lane --after 20 --data yard')
    .option('--site <site>', say('cli-help.site-only'))
    .option('--after <number>', say('cli-help.after'))
    .option('--limit <number>', say('cli-help.limit'))
    .option('--people', say('cli-help.log-people'))
    .action((flags) => run(async () => (await loadLog()).list(flags)));

  logVerb('verify', say('cli-help.log-verify'), 'verify --data yard')
    .option('--head <hash>', say('cli-help.log-head'))
    .option('--heads <file>', say('cli-help.log-heads-file'))
    .action((flags) => run(async () => (await loadLog()).verify(flags)));

  logVerb('export', say('cli-help.log-export'), 'export --out book.zip --data yard')
    .requiredOption('--out <file>', say('cli-help.log-out'))
    .option('--site <site>', say('cli-help.site-only'))
    .option('--after <number>', say('cli-help.after'))
    .option('--limit <number>', say('cli-help.limit'))
    .action((flags) => run(async () => (await loadLog()).exportLog(flags)));

  logVerb('import <file>', say('cli-help.log-import'), 'import book.zip --data yard').action((file, flags) =>
    run(async () => (await loadLog()).importLog(file, flags)),
  );

  logVerb('backup', say('cli-help.log-backup'), 'backup --out yard-monday --data yard')
    .requiredOption('--out <folder>', say('cli-help.log-folder'))
    .action((flags) => run(async () => (await loadLog()).backup(flags)));

  logVerb('heads', say('cli-help.log-heads'), 'heads --out monday.heads --data yard')
    .option('--out <file>', say('cli-help.log-heads-out'))
    .option('--accept', say('cli-help.log-accept'))
    .action((flags) => run(async () => (await loadLog()).heads(flags)));
}

function peopleVerbs({ verbsOf, run }: Writing): void {
  const verbOf = verbsOf('people', say('cli-help.people'));
  const peopleVerb: Writing['verb'] = (...words) => takesBook(verbOf(...words));
  const loadPeople = () => import('./verbs/people.ts');

  peopleVerb('add <name>', say('cli-help.people-add'), 'add "M. Lund" --role manager --data yard')
    .requiredOption('--role <role>', say('cli-help.role'))
    .action((name, flags) => run(async () => (await loadPeople()).add(name, flags)));

  peopleVerb('role <name>', say('cli-help.people-role'), 'role "M. Lund" --role manager --data yard')
    .requiredOption('--role <role>', say('cli-help.role'))
    .action((name, flags) => run(async () => (await loadPeople()).role(name, flags)));

  peopleVerb('list', say('cli-help.people-list'), 'list --data yard').action((flags) =>
    run(async () => (await loadPeople()).list(flags)),
  );

  peopleVerb('remove <name>', say('cli-help.people-remove'), 'remove "M. Lund" --data yard').action((name, flags) =>
    run(async () => (await loadPeople()).remove(name, flags)),
  );

  peopleVerb('password <name>', say('cli-help.people-password'), 'password "M. Lund" --data yard').action(
    (name, flags) => run(async () => (await loadPeople()).password(name, flags)),
  );

  const tokens = helpsWithVerbs(verbOf('token', say('cli-help.token'), 'token list --data yard'));
  const tokenVerbOf = under(tokens, 'people token ');
  const tokenVerb: Writing['verb'] = (...words) => takesBook(tokenVerbOf(...words));
  const loadTokens = () => import('./verbs/people-token.ts');

  tokenVerb('add <person> <name>', say('cli-help.token-add'), 'add "M. Lund" "rain gauge" --role crew --data yard')
    .requiredOption('--role <role>', say('cli-help.token-role'))
    .action((person, name, flags) => run(async () => (await loadTokens()).add(person, name, flags)));

  tokenVerb('list [person]', say('cli-help.token-list'), 'list --data yard').action((person, flags) =>
    run(async () => (await loadTokens()).list(person, flags)),
  );

  tokenVerb('remove <person> <name>', say('cli-help.token-remove'), 'remove "M. Lund" "rain gauge" --data yard').action(
    (person, name, flags) => run(async () => (await loadTokens()).remove(person, name, flags)),
  );
}

function otherVerbs({ program, verb, run }: Writing): void {
  const each = (text: string, before: string[]) => [...before, text];
  verb(
    'import <files...>',
    say('cli-help.import'),
    'import points.geojson lines.geojson --keep "SystemType=Stormwater" --kind "Type=2:catch-basin,9:outfall,2:pipe" --zones --out map.geojson',
  )
    .requiredOption('--out <file>', say('cli-help.import-out'))
    .option('--keep <rule>', say('cli-help.import-keep'), each, [])
    .option('--kind <rule>', say('cli-help.import-kind'), each, [])
    .option('--snap <metres>', say('cli-help.import-snap'))
    .option('--name <name>', say('cli-help.import-name'))
    .option('--zones', say('cli-help.import-zones'))
    .option('--boundary <file>', say('cli-help.import-boundary'))
    .option('--radius <metres>', say('cli-help.import-radius'))
    .option('--activity <activity>', say('cli-help.import-activity'))
    .option('--json', say('cli-help.json'))
    .action((files, flags) => run(async () => (await import('./verbs/import.ts')).importFiles(files, flags)));

  verb('serve', say('cli-help.serve'), 'serve --port 8080 --data yard')
    .option('--port <number>', say('cli-help.serve-port'))
    .option('--host <address>', say('cli-help.serve-host'))
    .option('--behind <address>', say('cli-help.serve-behind'))
    .option('--cert <file>', say('cli-help.serve-cert'))
    .option('--key <file>', say('cli-help.serve-key'))
    .option('--photo-quota <size>', say('cli-help.serve-quota'))
    .option('--data <folder>', say('cli-help.data'))
    .action((flags) => run(async () => (await import('./verbs/serve.ts')).serve(flags)));

  const load = () => import('./completion.ts');
  verb('completion <shell>', say('cli-help.completion'), 'completion bash >> ~/.bashrc').action((shell) =>
    run(async () => (await load()).completion(shell)),
  );
  // What those lines call; not for people.
  program
    .command('complete', { hidden: true })
    .argument('[words...]')
    .action((words) => run(async () => (await load()).complete(program, words)));
}

/** Verbs that wait for a person or answer a key press: they show no progress. */
const WAITING = ['serve', 'people add', 'people password', 'completion', 'complete'].map((verb) => `oilshed ${verb}`);

/** Runs the program's words in a world and comes back with the exit status; errors go to standard error, one line each. */
export const runProgram = (words: readonly string[], outside: World): Promise<number> =>
  withWorld(words, outside, () => runInWorld(words));

async function runInWorld(words: readonly string[]): Promise<number> {
  const { env, asked } = world();
  let status = 0;
  const program = buildProgram(async (verb) => {
    status = await verb();
  });
  program.hook('preAction', async (_, verb) => {
    if (verb.opts().json) await speakToPrograms();
    if (verb.opts().quiet) beQuiet();
    else if (env.OILSHED_PROGRESS !== 'no' && !WAITING.includes(nameOf(verb))) startProgress(nameOf(verb));
  });
  try {
    if (asked && 'word' in asked) throw new UsageError(noLanguage(asked));
    await program.parseAsync(words, { from: 'user' }).finally(endProgress);
    return status;
  } catch (error) {
    return sayError(error, commandOf(program, words));
  }
}

/** Says what went wrong, a line each, and comes back with the exit status. `asked` is the verb that the words name. */
function sayError(error: unknown, asked: Command): number {
  const { writeError } = world();
  if (error instanceof InputError) {
    for (const line of error.lines) writeError(`${line}\n`);
    return INPUT_WRONG;
  }
  if (error instanceof UsageError) return sayUsage(error.message, asked);
  if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : sayUsage(usageWords(error, asked), asked);
  const { code, message } = error as NodeJS.ErrnoException;
  // The rest is our own fault: said in one line like any other, so that it can be passed on.
  const line =
    code === 'ERR_MODULE_NOT_FOUND'
      ? say('cli-errors.part-missing', { error: message })
      : say('cli-errors.fault', { error: String(error).split('\n')[0] });
  writeError(`${line}\n`);
  return INPUT_WRONG;
}

/** The verb that the words name, or as much of it as there is. */
function commandOf(program: Command, words: readonly string[]): Command {
  const next = program.commands.find((each) => each.name() === words[0]);
  return next ? commandOf(next, words.slice(1)) : program;
}

const noLanguage = ({ name, word }: { name: string; word: string }) =>
  say('cli-errors.language', { name, word: JSON.stringify(word), languages: LANGUAGES.join(', ') });

function sayUsage(message: string, command: Command): number {
  const line = say('cli-errors.usage', { message: message.replaceAll('\n', ' '), command: nameOf(command) });
  world().writeError(`${line}\n`);
  return USAGE_WRONG;
}
