import { type Text, told } from '../../../catalogue/index.ts';
import { type Position, type SiteMap, walkerPosition } from '../../../site-map/index.ts';
import { type Finding, findSources, ONE_SPILL_LITRES, type SourcesAnswer } from '../../../sources/index.ts';
import {
  assumedSentences,
  groupSentences,
  howSureSentence,
  lidPlanSentences,
  lookWords,
  nextLidSentence,
  nextLidWords,
  rangeWords,
  reasonWords,
  releaseSentence,
  ruledOutSentences,
  saidWords,
  sourcesSentence,
  walkWords,
  whySentence,
} from '../../../words/index.ts';
import { type FindingsSource, findingsName, loadFindings } from '../findings.ts';
import {
  InputError,
  kindsOf,
  loadDrainage,
  namesOf,
  numberWord,
  output,
  quantityWord,
  throwErrors,
  UsageError,
} from '../input.ts';
import { bullets, fileLine, heading, left, problemWords, right, safe, table } from '../print.ts';
import { readPosition } from '../spill-flags.ts';
import { say, voice } from '../voice.ts';

interface SourcesFlags {
  findings: FindingsSource;
  at?: string;
  releaseLitres?: string;
  unmapped?: string;
  seed: string;
  history?: string;
  from?: string;
  json?: boolean;
}

/** `oilshed sources MAP --findings F`: where did this oil come from, and which lid next? */
export async function sources(file: string, flags: SourcesFlags): Promise<number> {
  const options = {
    at: flags.at,
    releaseLitres:
      flags.releaseLitres === undefined
        ? undefined
        : quantityWord('--release-litres', flags.releaseLitres, { quantity: 'litres', atLeast: 1e-6, atMost: 1e6 }),
    unmappedShare:
      flags.unmapped === undefined
        ? undefined
        : quantityWord('--unmapped', flags.unmapped, { quantity: 'parts of 1', atLeast: 0, atMost: 1 }),
    seed: numberWord('--seed', flags.seed, { atLeast: 0 }),
  };
  const drainage = await loadDrainage(file);
  const { map } = drainage;
  const findings = loadFindings(flags.findings, map);
  const history = flags.history === undefined ? [] : loadFindings(flags.history, map);
  const twice = history.find(({ id }) => findings.some((each) => each.id === id));
  if (twice)
    throw new InputError([
      fileLine(
        flags.history ?? '',
        say('cli-errors.finding-twice', { id: twice.id, file: findingsName(flags.findings) }),
      ),
    ]);
  const { answer, problems } = findSources(drainage, findings, {
    ...options,
    history,
    from: flags.from === undefined ? undefined : startWord(map, flags.from),
  });
  throwErrors(file, problems);
  if (!answer) return 1;
  output(flags.json, { ...answer, problems }, () => {
    const finding = findings.find(({ id }) => id === answer.finding);
    const nameOf = namesOf(map);
    const found = finding
      ? say('cli.sources-found', {
          seen: seenWords(finding),
          at: finding.at ?? '',
          days: Math.round(finding.years * 365.25),
          id: finding.id,
        })
      : null;
    const others = findings.filter(({ id }) => id !== answer.finding && answer.findings.includes(id));
    const also = others.map((each) =>
      say('cli.sources-also-one', { at: each.at ?? '', seen: seenWords(each), id: each.id }),
    );
    const placeOf = (id: string) => {
      const each = findings.find((one) => one.id === id);
      return each ? lookWords(each.source, each.at ?? '', voice()) : id;
    };
    const why = answer.zones.slice(0, WHY_SHOWN).flatMap((zone) => {
      const sentence = whySentence(zone, { lookOf: placeOf, zone: nameOf(zone.id) }, voice());
      return sentence ? [sentence] : [];
    });
    const assumed = assumedSentences(answer, voice());
    const oneSpill = answer.release.given
      ? []
      : [say('cli.sources-one-spill', { flag: `--release-litres ${ONE_SPILL_LITRES}` })];
    const parts = [
      heading(sourcesSentence(answer, nameOf, voice())),
      answer.isSure ? null : howSureSentence(answer, voice()),
      nextLidWords(answer, kindsOf(map), voice())?.care.join(' ') ?? null,
      nextLidSentence(answer, kindsOf(map), voice()),
      ...lidPlanSentences(answer, kindsOf(map), voice()).map(safe),
      found && safe(found),
      also.length > 0 ? safe(say('cli.sources-also', { others: also.join(', ') })) : null,
    ];
    return [
      ...parts.filter((part) => part !== null),
      '',
      shareTable(answer, (id) => {
        const name = map.zones.find((zone) => zone.id === id)?.name ?? id;
        return name === id ? '' : name;
      }),
      '',
      ...(answer.nextLids.length > 0 ? [lidTable(answer, nameOf), ''] : []),
      ...(why.length > 0 ? [say('cli.why'), bullets(why)] : []),
      say('cli.how-sure'),
      bullets([
        howSureSentence(answer, voice()),
        releaseSentence(answer, voice()),
        ...oneSpill,
        ...groupSentences(answer, nameOf, voice()),
        ...ruledOutSentences(answer, nameOf, voice()),
      ]),
      ...(assumed.length > 0 ? [say('cli.assumed'), bullets(assumed)] : []),
      ...(problems.length > 0 ? [say('cli.not-counted'), bullets(problems.map(problemWords))] : []),
    ].join('\n');
  });
  return 0;
}

/** Where the walker stands: longitude and latitude, or an id, which the room checks. */
function startWord(map: SiteMap, word: string): string | Position {
  if (walkerPosition(map, word) || !word.includes(',')) return word;
  const position = readPosition(word);
  if (position) return position;
  throw new UsageError(say('cli-errors.id-or-position', { flag: '--from', word: JSON.stringify(word) }));
}

/** Zones whose reasons are printed. */
const WHY_SHOWN = 4;

/** What was seen, with the fluid where it was told. */
function seenWords(finding: Finding): string {
  const { source } = finding;
  const withFluid = (seen: Text) =>
    source.fluid
      ? say('cli.sources-seen-of', { seen, fluid: say(`things.fluid-${source.fluid}`) })
      : voice().text(seen);
  switch (finding.seen) {
    case 'amount':
      return withFluid({ litres: finding.litres });
    case 'event':
      return withFluid(told('cli.sources-event', { volume: { litres: finding.litres } }));
    case 'oil':
      return withFluid(saidWords(source, voice()));
    case 'clean':
      return reasonWords(source, voice());
    default:
      return finding satisfies never;
  }
}

/** Shares under this are counted and not listed; `--json` has them. */
const LEAST_SHOWN = 0.005;

function shareTable({ zones, unmapped }: SourcesAnswer, nameOf: (id: string) => string): string {
  const shown = zones.filter(({ share }, at) => share >= LEAST_SHOWN || at < 3);
  const small = zones.length - shown.length;
  const { text } = voice();
  const rows = [
    ...shown.map((zone) => [
      zone.id,
      nameOf(zone.id),
      text({ share: zone.share }),
      rangeWords(zone, voice()),
      text({ share: zone.main }),
    ]),
    ...(small > 0
      ? [
          [
            '',
            say('cli.sources-more-zones', { count: small }),
            say('cli.sources-each', { share: { share: 0.001 } }),
            '',
            '',
          ],
        ]
      : []),
    [
      '-',
      say('cli.sources-not-on-map'),
      text({ share: unmapped.share }),
      rangeWords(unmapped, voice()),
      text({ share: unmapped.main }),
    ],
  ];
  const columns = [
    left('cli.column-zone'),
    left('cli.column-name'),
    right('cli.sources-column-share'),
    right('cli.column-range'),
    right('cli.sources-column-main'),
  ];
  return table(columns, rows);
}

function lidTable({ nextLids, from }: SourcesAnswer, nameOf: (id: string) => string): string {
  const { text } = voice();
  const rows = nextLids
    .slice(0, 5)
    .map(({ at, bits, chanceOfOil, minutes }) => [
      nameOf(at),
      text({ number: bits, digits: 2 }),
      text({ share: chanceOfOil }),
      ...(minutes === null ? [] : [walkWords(minutes, voice())]),
    ]);
  const columns = [
    left('cli.sources-column-lid'),
    right('cli.sources-column-bits'),
    right('cli.sources-column-chance'),
    ...(from ? [right('cli.sources-column-walk')] : []),
  ];
  return table(columns, rows);
}
