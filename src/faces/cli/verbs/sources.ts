import { type Position, type SiteMap, walkerPosition } from '../../../site-map/index.ts';
import { type Finding, findSources, ONE_SPILL_LITRES, type SourcesAnswer } from '../../../sources/index.ts';
import { formatNumber, formatShare, formatVolume, type Units } from '../../../units/index.ts';
import {
  assumedSentences,
  groupSentences,
  howSureSentence,
  lidPlanSentences,
  lookWords,
  nextLidSentence,
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
  unitsOf,
} from '../input.ts';
import { bullets, heading, problemLine, safe, table } from '../print.ts';
import { readPosition } from '../spill-flags.ts';
import { voice } from '../voice.ts';

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
      safe(
        `${flags.history}: ${twice.id}: id: ${findingsName(flags.findings)} has it too; give one of them another id`,
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
    const units = unitsOf(map);
    const nameOf = namesOf(map);
    const found = finding
      ? `Found: ${seenWords(finding, units)} in ${finding.at}, over ${daysWords(finding.years * 365.25)} (${finding.id}).`
      : null;
    const others = findings.filter(({ id }) => id !== answer.finding && answer.findings.includes(id));
    const also = others.map((each) => `${each.at} ${seenWords(each, units)} (${each.id})`);
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
      : [`If you know that it was one spill, say so: --release-litres ${ONE_SPILL_LITRES}.`];
    const parts = [
      heading(sourcesSentence(answer, nameOf, voice())),
      answer.isSure ? null : howSureSentence(answer, voice()),
      nextLidSentence(answer, kindsOf(map), voice()),
      ...lidPlanSentences(answer, kindsOf(map), voice()).map(safe),
      found && safe(found),
      also.length > 0 ? safe(`Also seen: ${also.join(', ')}.`) : null,
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
      ...(why.length > 0 ? ['Why', bullets(why)] : []),
      'How sure',
      bullets([
        howSureSentence(answer, voice()),
        releaseSentence(answer, voice()),
        ...oneSpill,
        ...groupSentences(answer, nameOf, voice()),
        ...ruledOutSentences(answer, nameOf, voice()),
      ]),
      ...(assumed.length > 0 ? ['Assumed', bullets(assumed)] : []),
      ...(problems.length > 0
        ? ['Not counted', bullets(problems.map((each) => problemLine('', each).replace(/^: /, '')))]
        : []),
    ].join('\n');
  });
  return 0;
}

/** Where the walker stands: longitude and latitude, or an id, which the room checks. */
function startWord(map: SiteMap, word: string): string | Position {
  if (walkerPosition(map, word) || !word.includes(',')) return word;
  const position = readPosition(word);
  if (position) return position;
  throw new UsageError(
    `--from is ${JSON.stringify(word)}; write an id of the map, or longitude and latitude, such as --from=-105.1234,39.5678`,
  );
}

/** Zones whose reasons are printed. */
const WHY_SHOWN = 4;

function daysWords(days: number): string {
  const whole = Math.round(days);
  return whole === 1 ? '1 day' : `${formatNumber(whole)} days`;
}

function seenWords(finding: Finding, units: Units): string {
  const { source } = finding;
  const fluid = source.fluid ? ` (${source.fluid})` : '';
  switch (finding.seen) {
    case 'amount':
      return `${formatVolume(finding.litres, units)}${fluid}`;
    case 'event':
      return `a release of ${formatVolume(finding.litres, units)}${fluid}`;
    case 'oil':
      return `${saidWords(source, voice())}${fluid}`;
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
  const rows = [
    ...shown.map((zone) => [
      zone.id,
      nameOf(zone.id),
      formatShare(zone.share),
      rangeWords(zone, voice()),
      formatShare(zone.main),
    ]),
    ...(small > 0 ? [['', `${small} more zones`, '<1 % each', '', '']] : []),
    ['-', 'not on the map', formatShare(unmapped.share), rangeWords(unmapped, voice()), formatShare(unmapped.main)],
  ];
  return table(
    [
      { title: 'ZONE' },
      { title: 'NAME' },
      { title: 'SHARE', align: 'right' },
      { title: '5 TO 95 %', align: 'right' },
      { title: 'MAIN SOURCE', align: 'right' },
    ],
    rows,
  );
}

function lidTable({ nextLids, from }: SourcesAnswer, nameOf: (id: string) => string): string {
  const rows = nextLids
    .slice(0, 5)
    .map(({ at, bits, chanceOfOil, minutes }) => [
      nameOf(at),
      formatNumber(bits, 2),
      formatShare(chanceOfOil),
      ...(minutes === null ? [] : [walkWords(minutes, voice())]),
    ]);
  const walk = from ? [{ title: 'FROM HERE', align: 'right' } as const] : [];
  return table(
    [{ title: 'NEXT LID' }, { title: 'BITS', align: 'right' }, { title: 'CHANCE OF OIL', align: 'right' }, ...walk],
    rows,
  );
}
