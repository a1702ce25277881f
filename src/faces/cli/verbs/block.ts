import { type BlockAnswer, type BlockPlan, findBlocks } from '../../../block/index.ts';
import { isThick } from '../../../drainage/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { FIRST_WORDS, findSpill } from '../../../spill/index.ts';
import {
  blockAssumptions,
  doNothingSentence,
  planSentences,
  shortMinutes,
  spillAssumptions,
  takesMinutes,
} from '../../../words/index.ts';
import type { FindingsSource } from '../findings.ts';
import { loadDrainage, namesOf, output, quantityWord, throwErrors } from '../input.ts';
import { bullets, heading, left, problemWords, right, table } from '../print.ts';
import { crewPlace, type SpillFlags, spillHeading, spillQuestion } from '../spill-flags.ts';
import { say, voice } from '../voice.ts';

interface BlockFlags extends SpillFlags {
  crew?: string;
  margin?: string;
  findings?: FindingsSource;
  json?: boolean;
}

const SINGLES_SHOWN = 10;
const MOST_MARGIN_MINUTES = 1_000;

/** `oilshed block MAP --zone ID|--point LON,LAT --litres X`: where to block, cheapest first? */
export async function block(file: string, flags: BlockFlags): Promise<number> {
  if (flags.findings !== undefined)
    return (await import('./block-findings.ts')).blockFindings(file, { ...flags, findings: flags.findings });
  const question = spillQuestion(flags);
  const marginMinutes =
    flags.margin === undefined
      ? undefined
      : quantityWord('--margin', flags.margin, { quantity: 'minutes', atLeast: 0, atMost: MOST_MARGIN_MINUTES });
  const drainage = await loadDrainage(file);
  const crew = flags.crew === undefined ? undefined : crewPlace(file, drainage.map, flags.crew);
  const { answer, problems } = findBlocks(drainage, { ...question, crew, marginMinutes });
  throwErrors(file, problems);
  if (!answer) return 1;
  output(flags.json, { ...answer, problems }, () => {
    const warnings = problems.map((each) => problemWords({ ...each, field: null }));
    const { answer: spill } = findSpill(drainage, question);
    const fluid = answer.fluid;
    const facts = { isRain: (question.rainMmPerH ?? 0) > 0, isThick: fluid !== null && isThick(fluid) };
    const assumed = spill ? spillAssumptions(spill, facts, voice()) : [];
    return answerText(drainage.map, answer, { litres: question.litres, warnings, assumed });
  });
  return 0;
}

function answerText(
  map: SiteMap,
  answer: BlockAnswer,
  { litres, warnings, assumed }: { litres: number; warnings: string[]; assumed: string[] },
): string {
  const { tell } = voice();
  const zone = map.zones.find(({ id }) => id === answer.zone);
  const nameOf = namesOf(map);
  const parts = [
    spillHeading(litres, zone ? nameOf(zone.id) : null),
    tell(FIRST_WORDS),
    ...answer.advice.map(tell),
    ...warnings,
    '',
    ...planSentences(answer, nameOf, voice()).map((sentence, at) => (at === 0 ? heading(sentence) : sentence)),
    ...answer.whilePlacing.map(tell),
    doNothingSentence(answer, voice()),
  ];
  if (answer.plan.controls.length > 0) parts.push('', planTable(answer.plan, nameOf));
  if (answer.ifMissed) {
    const [first, ...rest] = planSentences({ ...answer, plan: answer.ifMissed, isTooLate: false }, nameOf, voice());
    parts.push('', heading(say('cli.block-missed')), [first, ...rest].join(' '));
  }
  if (answer.singles.length > 0) parts.push('', singlesTable(answer, nameOf));
  return [
    ...parts,
    '',
    say('cli.take-care'),
    bullets(answer.cautions.map(tell)),
    say('cli.assumed'),
    bullets([...blockAssumptions(answer, map, voice()), ...assumed]),
  ].join('\n');
}

function planTable({ controls }: BlockPlan, nameOf: (id: string) => string): string {
  const columns = [
    left('cli.block-column-place'),
    left('cli.column-at'),
    left('cli.block-column-from'),
    right('cli.block-column-oil'),
    right('cli.block-column-crew'),
  ];
  const rows = controls.map(({ control, at, kit, oilMinutes, crewMinutes }) => [
    say(`things.control-${control}`),
    nameOf(at),
    kit ?? '–',
    shortMinutes(oilMinutes, voice()),
    crewMinutes === null ? '–' : takesMinutes(crewMinutes, voice()),
  ]);
  return table(columns, rows);
}

function singlesTable({ singles }: BlockAnswer, nameOf: (id: string) => string): string {
  const { text } = voice();
  const rows = singles
    .slice(0, SINGLES_SHOWN)
    .map((single) => [
      say(`things.control-${single.control}`),
      nameOf(single.at),
      text({ money: single.totalCost }),
      text({ money: Math.max(0, single.saves) }),
      single.waters.length > 0 ? single.waters.join(' ') : say('cli.block-none'),
      !single.inStock ? say('cli.block-no-kit') : single.spareMinutes === null ? '–' : spareWords(single.spareMinutes),
    ]);
  const columns = [
    left('cli.column-one-control'),
    left('cli.column-at'),
    right('cli.block-column-total'),
    right('cli.column-saves'),
    left('cli.block-column-water'),
    left('cli.block-column-in-time'),
  ];
  const more = singles.length - SINGLES_SHOWN;
  return table(columns, rows) + (more > 0 ? `\n  ${say('cli.more-in-json', { count: more })}` : '');
}

const spareWords = (minutes: number) =>
  minutes >= 0
    ? say('cli.block-spare', { minutes: Math.floor(minutes) })
    : say('cli.block-late', { minutes: Math.ceil(-minutes) });
