import { Command, CommanderError } from 'commander';
import { version } from '../../../package.json';
import type { FindingsSource } from './findings.ts';
import { InputError, UsageError } from './input.ts';
import { beQuiet } from './notes.ts';
import { endProgress, startProgress } from './progress.ts';
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
    .option('--log', 'or what the log book has')
    .option('--site <site>', 'with --log: which site (default: the only one)')
    .option('--data <folder>', 'with --log: where the log book is (default: OILSHED_DATA, else oilshed-data)');

/** Where the flags say that findings stand; undefined where they do not say. */
async function findingsPlace({ findings, log, site, data }: FindingsFlags): Promise<FindingsSource | undefined> {
  if (findings !== undefined && log) throw new UsageError('write either --findings FILE or --log');
  return log ? (await import('./log-findings.ts')).logFindings({ site, data }) : findings;
}

async function findingsOf(flags: FindingsFlags): Promise<FindingsSource> {
  const place = await findingsPlace(flags);
  if (place !== undefined) return place;
  throw new UsageError('--findings is missing; name a file of findings, or write --log for those of the log book');
}

/** What a group of verbs is written with: a verb, a verb of several words (`oilshed log add`), and what runs it. */
interface Writing {
  program: Command;
  verb(name: string, summary: string, example: string): Command;
  verbsOf(group: string, question: string): Writing['verb'];
  run(verb: Verb): Promise<void>;
}

/** Writes verbs under a command; `before` is what stands before them in their examples. */
const under = (parent: Command, before: string) => (name: string, summary: string, example: string) =>
  parent
    .command(name)
    .description(summary)
    .option('-q, --quiet', 'print nothing but the answer and errors')
    .addHelpText('after', `\nExample:\n  oilshed ${before}${example}`);

const HELP_FOOTER = `Numbers may carry their unit (50gal, 20ft, 2in/h, 30min); plain ones are SI. A file named - is standard input.
Exit status: 0 done, 1 the input is wrong, 2 the command’s words are wrong.`;

function buildProgram(run: Writing['run']): Command {
  // Verbs take these settings over. What commander finds wrong is said by `main`, in one line.
  const program = new Command('oilshed')
    .description('A drainage graph for vehicle yards: where oil came from, where it goes, where to block it.')
    .version(version, '-V, --version', 'print the version')
    .helpOption('-h, --help', 'print this help')
    .exitOverride()
    .showHelpAfterError(false)
    .configureOutput({ writeOut: (text) => world().write(text), writeErr: () => {} })
    .addHelpText('after', `\n${HELP_FOOTER}`);
  const verbsOf = (group: string, question: string) => under(program.command(group).description(question), `${group} `);
  const writing: Writing = { program, verb: under(program, ''), verbsOf, run };
  for (const write of [questionVerbs, spillVerbs, planVerbs, logVerbs, peopleVerbs, otherVerbs]) write(writing);
  return program;
}

function questionVerbs({ verb, run }: Writing): void {
  verb('check <map>', 'is the map sound?', 'check site-maps/freight-depot.geojson')
    .option('--json', 'print one JSON object')
    .action((map, flags) => run(async () => (await import('./verbs/check.ts')).check(map, flags)));

  verb(
    'shed <map>',
    'which zones can send oil here?',
    `shed site-maps/freight-depot.geojson --at SEP-1
  oilshed shed site-maps/freight-depot.geojson --graph depot.graphml`,
  )
    .option('--at <id>', 'the structure')
    .option('--graph <file>', 'write what drains there, or without --at the whole yard, as a graph: .graphml or .gexf')
    .option('--json', 'print one JSON object')
    .action((map, flags) => run(async () => (await import('./verbs/shed.ts')).shed(map, flags)));

  takesFindings(
    verb(
      'sources <map>',
      'where did this oil come from, and which lid next?',
      'sources site-maps/freight-depot.geojson --findings site-maps/freight-depot.findings.json',
    ),
    'what was found',
  )
    .option('--at <id>', 'the structure whose oil is asked about (default: where the largest amount was found)')
    .option('--from <id|lon,lat>', 'where you stand, so that lids near you come first')
    .option('--release-litres <litres>', 'size of a typical release (default: inferred)')
    .option('--unmapped <share>', 'yield of what is not on the map, as a part of the rest (default: 0.02)')
    .option('--history <file>', 'earlier findings, to learn from what zones release')
    .option('--seed <number>', 'the same seed gives the same answer', '1')
    .option('--json', 'print one JSON object')
    .action((map, flags) =>
      run(async () =>
        (await import('./verbs/sources.ts')).sources(map, { ...flags, findings: await findingsOf(flags) }),
      ),
    );

  takesFindings(
    verb(
      'learn <map>',
      'what does each zone really release?',
      'learn site-maps/freight-depot.geojson --findings site-maps/freight-depot.findings.json',
    ),
    'what was found, over all the time there is',
  )
    .option('--seed <number>', 'the same seed gives the same answer', '1')
    .option('--json', 'print one JSON object')
    .action((map, flags) =>
      run(async () => (await import('./verbs/learn.ts')).learn(map, { ...flags, findings: await findingsOf(flags) })),
    );
}

function spillVerbs({ verb, run }: Writing): void {
  const spillVerb = (name: string, summary: string, example: string) =>
    verb(`${name} <map>`, summary, example)
      .option('--zone <id>', 'the zone it is on')
      .option('--point <lon,lat>', 'or the point where it is')
      .option('--litres <litres>', 'how much was spilled')
      .option('--fluid <fluid>', 'what was spilled')
      .option('--rain <mm/h>', 'rain that is falling (default: 0)')
      .option('--over <minutes>', 'how long it takes to run out (default: 1)')
      .option('--ago <minutes>', 'how long ago it began (default: 0)')
      .option('--json', 'print one JSON object');

  spillVerb(
    'spill',
    'where will a spill go, and when?',
    'spill site-maps/freight-depot.geojson --zone Z1 --litres 200 --fluid diesel --rain 10',
  ).action((map, flags) => run(async () => (await import('./verbs/spill.ts')).spill(map, flags)));

  takesFindings(
    spillVerb(
      'block',
      'where to block a spill, cheapest first?',
      'block site-maps/freight-depot.geojson --zone Z1 --litres 200 --fluid diesel',
    ),
    'or plan ahead, against where these findings say that oil comes from',
  )
    .option('--crew <id or lon,lat>', 'where the crew sets out (default: the crew posts of the map)')
    .option('--margin <minutes>', 'how long before the oil a control must be in place (default: 2)')
    .action((map, flags) =>
      run(async () =>
        (await import('./verbs/block.ts')).block(map, { ...flags, findings: await findingsPlace(flags) }),
      ),
    );
}

function planVerbs({ verb, run }: Writing): void {
  verb('kits <map>', 'where should kits stand?', 'kits site-maps/freight-depot.geojson --count 3')
    .option('--count <number>', 'how many new kits')
    .option('--within <minutes>', 'how near a kit should be; without --count, the fewest that do')
    .option('--keep', 'count the kits that stand already')
    .option('--no-hints', 'leave out hints from rules that may not hold here')
    .option('--json', 'print one JSON object')
    .action((map, flags) => run(async () => (await import('./verbs/kits.ts')).kits(map, flags)));

  verb(
    'cards <map>',
    'a printable response card for each zone',
    'cards site-maps/freight-depot.geojson --out cards.pdf --link https://yard.example',
  )
    .requiredOption('--out <file>', 'the file to write: .pdf (needs a Chromium on this machine) or .html')
    .option('--paper <a4 or letter>', 'the sheet (default: letter for a map in US units, else a4)')
    .option('--litres <litres>', 'how much is spilled (default: the largest container of each zone)')
    .option('--rain <mm/h>', 'the rain that cards answer for beside dry weather (default: 25)')
    .option('--link <url>', 'the address others open this yard at, for a QR code on each card')
    .option('--json', 'print one JSON object')
    .action((map, flags) => run(async () => (await import('./verbs/cards.ts')).cards(map, flags)));

  verb(
    'measures <map>',
    'what keeps out most oil for the money?',
    'measures site-maps/freight-depot.geojson --budget 5000',
  )
    .requiredOption('--budget <money>', 'what may be spent in the first year, in the site’s currency')
    .option('--seed <number>', 'the same seed gives the same bounds', '1')
    .option('--json', 'print one JSON object')
    .action((map, flags) => run(async () => (await import('./verbs/measures.ts')).measures(map, flags)));

  takesFindings(
    verb(
      'upkeep <map>',
      'how full is each separator, and when is the next visit due?',
      'upkeep site-maps/freight-depot.geojson --findings site-maps/freight-depot.findings.json',
    ),
    'what was found, over all the time there is',
  )
    .option('--rain <mm/h>', 'rain that falls now: does the separator still catch oil? (default: its design flow)')
    .option('--json', 'print one JSON object')
    .action((map, flags) =>
      run(async () => (await import('./verbs/upkeep.ts')).upkeep(map, { ...flags, findings: await findingsOf(flags) })),
    );

  verb(
    'report <map>',
    'one visit on a page, or a year’s record, from the log book',
    'report site-maps/freight-depot.geojson --visit last --out visit.pdf --data yard',
  )
    .requiredOption('--out <file>', 'the file to write: .pdf (needs a Chromium on this machine) or .html')
    .option('--visit <entry>', 'an entry’s id, its number, or last')
    .option('--year <year>', 'or a whole year, such as 2026')
    .option('--site <site>', 'which site of the log book (default: the only one)')
    .option('--data <folder>', 'where the log book is (default: OILSHED_DATA, else oilshed-data)')
    .option('--paper <a4 or letter>', 'the sheet (default: letter for a map in US units, else a4)')
    .option('--json', 'print one JSON object')
    .action((map, flags) => run(async () => (await import('./verbs/report.ts')).report(map, flags)));
}

/** The options of every verb about the log book. */
const takesBook = (command: Command) =>
  command
    .option('--data <folder>', 'where the log book is (default: OILSHED_DATA, else oilshed-data)')
    .option('--json', 'print one JSON object');

function logVerbs({ verbsOf, run }: Writing): void {
  const verbOf = verbsOf('log', 'what was seen and done?');
  const logVerb: Writing['verb'] = (...words) => takesBook(verbOf(...words));
  const loadLog = () => import('./verbs/log.ts');

  logVerb('add <entry>', 'take an entry into the log book', 'add visit.json --photo lid.jpg --data yard')
    .option('--photo <files...>', 'photos that go with it: JPEG, PNG, WebP or HEIC, 12 MB at most')
    .option('--map <file>', 'with an entry of the kind map: the map, which is kept and named in it')
    .action((entry, flags) => run(async () => (await loadLog()).add(entry, flags)));

  logVerb('list', 'what stands in the log book?', 'list --site tarn-lane --after 20 --data yard')
    .option('--site <site>', 'only this site')
    .option('--after <number>', 'only entries after this number of their site')
    .option('--limit <number>', 'at most so many (default: all)')
    .option('--people', 'who was let in, changed or refused, and by whom, instead of entries')
    .action((flags) => run(async () => (await loadLog()).list(flags)));

  logVerb('verify', 'is everything as it was accepted?', 'verify --data yard')
    .option('--head <hash>', 'a hash printed earlier: is it still in the chain?')
    .option('--heads <file>', 'heads kept elsewhere, as log heads --out wrote them: is all of it still there?')
    .action((flags) => run(async () => (await loadLog()).verify(flags)));

  logVerb('export', 'the log book as a zip: entries, a table, photos, maps', 'export --out book.zip --data yard')
    .requiredOption('--out <file>', 'the file to write')
    .option('--site <site>', 'only this site')
    .option('--after <number>', 'only entries after this number of their site')
    .option('--limit <number>', 'at most so many (default: all)')
    .action((flags) => run(async () => (await loadLog()).exportLog(flags)));

  logVerb(
    'import <file>',
    'take over what an export has and the log book has not',
    'import book.zip --data yard',
  ).action((file, flags) => run(async () => (await loadLog()).importLog(file, flags)));

  logVerb('backup', 'a copy of it all, while it is written to', 'backup --out yard-monday --data yard')
    .requiredOption('--out <folder>', 'a new folder; it is a log book of its own')
    .action((flags) => run(async () => (await loadLog()).backup(flags)));

  logVerb('heads', 'where does each site’s log book end?', 'heads --out monday.heads --data yard')
    .option('--out <file>', 'write them, to be kept elsewhere: log verify --heads holds the book against them')
    .option('--accept', 'an older copy was put here on purpose: go on from it')
    .action((flags) => run(async () => (await loadLog()).heads(flags)));
}

const ROLE_WORDS = 'viewer (reads), crew (adds entries and photos too) or manager (adds maps too)';

function peopleVerbs({ verbsOf, run }: Writing): void {
  const verbOf = verbsOf('people', 'who may sign in to the log book?');
  const peopleVerb: Writing['verb'] = (...words) => takesBook(verbOf(...words));
  const loadPeople = () => import('./verbs/people.ts');

  peopleVerb(
    'add <name>',
    'let somebody sign in; the password is asked for',
    'add "M. Lund" --role manager --data yard',
  )
    .requiredOption('--role <role>', ROLE_WORDS)
    .action((name, flags) => run(async () => (await loadPeople()).add(name, flags)));

  peopleVerb('role <name>', 'give somebody another role', 'role "M. Lund" --role manager --data yard')
    .requiredOption('--role <role>', ROLE_WORDS)
    .action((name, flags) => run(async () => (await loadPeople()).role(name, flags)));

  peopleVerb('list', 'who may sign in?', 'list --data yard').action((flags) =>
    run(async () => (await loadPeople()).list(flags)),
  );

  peopleVerb('remove <name>', 'take somebody out; what they wrote stays', 'remove "M. Lund" --data yard').action(
    (name, flags) => run(async () => (await loadPeople()).remove(name, flags)),
  );

  peopleVerb('password <name>', 'give somebody another password', 'password "M. Lund" --data yard').action(
    (name, flags) => run(async () => (await loadPeople()).password(name, flags)),
  );

  const tokens = verbOf('token', 'what programs sign in with, for a person', 'token list --data yard');
  const tokenVerbOf = under(tokens, 'people token ');
  const tokenVerb: Writing['verb'] = (...words) => takesBook(tokenVerbOf(...words));
  const loadTokens = () => import('./verbs/people-token.ts');

  tokenVerb(
    'add <person> <name>',
    'make a token; it is shown this once',
    'add "M. Lund" "rain gauge" --role crew --data yard',
  )
    .requiredOption('--role <role>', `what it may do, at most what the person may: ${ROLE_WORDS}`)
    .action((person, name, flags) => run(async () => (await loadTokens()).add(person, name, flags)));

  tokenVerb('list [person]', 'which tokens there are', 'list --data yard').action((person, flags) =>
    run(async () => (await loadTokens()).list(person, flags)),
  );

  tokenVerb('remove <person> <name>', 'end a token', 'remove "M. Lund" "rain gauge" --data yard').action(
    (person, name, flags) => run(async () => (await loadTokens()).remove(person, name, flags)),
  );
}

function otherVerbs({ program, verb, run }: Writing): void {
  const each = (text: string, before: string[]) => [...before, text];
  verb(
    'import <files...>',
    'a site map from GIS layers of points and lines (GeoJSON, WGS 84)',
    'import points.geojson lines.geojson --keep "SystemType=Stormwater" --kind "Type=2:catch-basin,9:outfall,2:pipe" --zones --out map.geojson',
  )
    .requiredOption('--out <file>', 'the map to write')
    .option('--keep <rule>', 'take only features such as "SystemType=Stormwater"; may be repeated', each, [])
    .option('--kind <rule>', 'what becomes what: "Type=2:catch-basin,2:pipe"; may be repeated', each, [])
    .option('--snap <metres>', 'how near line ends must lie to be joined (default: 0.5)')
    .option('--name <name>', 'the site’s name (default: the name of the map)')
    .option('--zones', 'make a zone for every catch basin: the ground nearest to it')
    .option('--boundary <file>', 'the ground that zones divide (default: round the structures)')
    .option('--radius <metres>', 'how far a zone reaches from its basin (default: 60, no limit with --boundary)')
    .option('--activity <activity>', 'what is done on that ground (default: other)')
    .option('--json', 'print one JSON object')
    .action((files, flags) => run(async () => (await import('./verbs/import.ts')).importFiles(files, flags)));

  verb('serve', 'the web app with its log book', 'serve --port 8080 --data yard')
    .option('--port <number>', 'the port (default: the first free one from 4650)')
    .option(
      '--host <address>',
      'the address to answer at; others reach it once there is a manager (default: 127.0.0.1)',
    )
    .option(
      '--behind <address>',
      'the proxy on another machine that passes requests on: what it says of who asks is believed',
    )
    .option('--cert <file>', 'a certificate for https, as PEM')
    .option('--key <file>', 'and its key')
    .option('--photo-quota <size>', 'what the photos of a site may take (default: OILSHED_PHOTO_QUOTA, else 2GB)')
    .option('--data <folder>', 'where the log book is (default: OILSHED_DATA, else oilshed-data)')
    .action((flags) => run(async () => (await import('./verbs/serve.ts')).serve(flags)));

  const load = () => import('./completion.ts');
  verb('completion <shell>', 'lets a shell complete words', 'completion bash >> ~/.bashrc').action((shell) =>
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
  withWorld(outside, () => runInWorld(words));

async function runInWorld(words: readonly string[]): Promise<number> {
  const { env, writeError } = world();
  let status = 0;
  const program = buildProgram(async (verb) => {
    status = await verb();
  });
  program.hook('preAction', (_, verb) => {
    if (verb.opts().quiet) beQuiet();
    else if (env.OILSHED_PROGRESS !== 'no' && !WAITING.includes(nameOf(verb))) startProgress(nameOf(verb));
  });
  try {
    await program.parseAsync(words, { from: 'user' }).finally(endProgress);
    return status;
  } catch (error) {
    if (error instanceof InputError) {
      for (const line of error.lines) writeError(`${line}\n`);
      return INPUT_WRONG;
    }
    const asked = commandOf(program, words);
    if (error instanceof UsageError) return sayWords(error.message, asked);
    if (error instanceof CommanderError) {
      if (error.exitCode === 0) return 0;
      return sayWords(error.message === '(outputHelp)' ? noVerb(asked) : error.message.replace(/^error: /, ''), asked);
    }
    const { code, message } = error as NodeJS.ErrnoException;
    if (code === 'ERR_MODULE_NOT_FOUND') {
      writeError(`oilshed: a part of it is missing (${message}); run npm ci in its folder, or install it anew\n`);
      return INPUT_WRONG;
    }
    // Our own fault: said in one line like any other, so that it can be passed on.
    writeError(
      `oilshed: a fault in Oilshed itself (${String(error).split('\n')[0]}); please report it with the files\n`,
    );
    return INPUT_WRONG;
  }
}

/** The verb that the words name, or as much of it as there is. */
function commandOf(program: Command, words: readonly string[]): Command {
  const next = program.commands.find((each) => each.name() === words[0]);
  return next ? commandOf(next, words.slice(1)) : program;
}

const nameOf = (command: Command): string =>
  command.parent ? `${nameOf(command.parent)} ${command.name()}` : command.name();

const noVerb = (command: Command) =>
  `no verb given after ${nameOf(command)}; write one of ${command.commands.map((each) => each.name()).join(', ')}`;

function sayWords(message: string, command: Command): number {
  world().writeError(`oilshed: ${message.replaceAll('\n', ' ')}; see ${nameOf(command)} --help\n`);
  return USAGE_WRONG;
}
