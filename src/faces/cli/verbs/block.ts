import { type BlockAnswer, type BlockPlan, findBlocks } from '../../../block/index.ts';
import { isThick } from '../../../drainage/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { FIRST_WORDS, findSpill } from '../../../spill/index.ts';
import { formatMoney, formatVolume } from '../../../units/index.ts';
import {
  blockAssumptions,
  doNothingSentence,
  planSentences,
  shortMinutes,
  spillAssumptions,
  takesMinutes,
} from '../../../words/index.ts';
import type { FindingsSource } from '../findings.ts';
import { currencyOf, loadDrainage, namesOf, output, quantityWord, throwErrors, unitsOf } from '../input.ts';
import { bullets, heading, problemLine, table } from '../print.ts';
import { crewPlace, type SpillFlags, spillQuestion } from '../spill-flags.ts';
import { voice } from '../voice.ts';

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
    const warnings = problems.map((each) => problemLine('', { ...each, field: null }).replace(/^: /, ''));
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
  const [units, currency] = [unitsOf(map), currencyOf(map)];
  const money = (amount: number) => formatMoney(amount, currency);
  const zone = map.zones.find(({ id }) => id === answer.zone);
  const nameOf = namesOf(map);
  const where = zone ? `on ${nameOf(zone.id)}` : 'here';
  const parts = [
    `A spill of ${formatVolume(litres, units)} ${where}.`,
    voice().tell(FIRST_WORDS),
    ...answer.advice.map(voice().tell),
    ...warnings,
    '',
    ...planSentences(answer, nameOf, voice()).map((sentence, at) => (at === 0 ? heading(sentence) : sentence)),
    ...answer.whilePlacing.map(voice().tell),
    doNothingSentence(answer, voice()),
  ];
  if (answer.plan.controls.length > 0) parts.push('', planTable(answer.plan, nameOf));
  if (answer.ifMissed) {
    const [first, ...rest] = planSentences({ ...answer, plan: answer.ifMissed, isTooLate: false }, nameOf, voice());
    parts.push('', heading('If you miss the first of them'), [first, ...rest].join(' '));
  }
  if (answer.singles.length > 0) parts.push('', singlesTable(answer, { money, nameOf }));
  return [
    ...parts,
    '',
    'Take care',
    bullets(answer.cautions.map(voice().tell)),
    'Assumed',
    bullets([...blockAssumptions(answer, map, voice()), ...assumed]),
  ].join('\n');
}

function planTable({ controls }: BlockPlan, nameOf: (id: string) => string): string {
  const columns = [
    { title: 'PLACE' },
    { title: 'AT' },
    { title: 'FROM' },
    { title: 'OIL THERE', align: 'right' },
    { title: 'YOU CAN', align: 'right' },
  ] as const;
  const rows = controls.map(({ control, at, kit, oilMinutes, crewMinutes }) => [
    control,
    nameOf(at),
    kit ?? '–',
    shortMinutes(oilMinutes, voice()),
    crewMinutes === null ? '–' : takesMinutes(crewMinutes, voice()),
  ]);
  return table(columns, rows);
}

function singlesTable(
  { singles }: BlockAnswer,
  { money, nameOf }: { money: (amount: number) => string; nameOf: (id: string) => string },
): string {
  const rows = singles
    .slice(0, SINGLES_SHOWN)
    .map((single) => [
      single.control,
      nameOf(single.at),
      money(single.totalCost),
      money(Math.max(0, single.saves)),
      single.waters.length > 0 ? single.waters.join(' ') : 'none',
      !single.inStock ? 'no kit has one' : single.spareMinutes === null ? '–' : spareWords(single.spareMinutes),
    ]);
  const columns = [
    { title: 'ONE CONTROL ALONE' },
    { title: 'AT' },
    { title: 'TOTAL', align: 'right' },
    { title: 'SAVES', align: 'right' },
    { title: 'WATER REACHED' },
    { title: 'IN TIME' },
  ] as const;
  const more = singles.length - SINGLES_SHOWN;
  return table(columns, rows) + (more > 0 ? `\n  and ${more} more, in --json` : '');
}

const spareWords = (minutes: number) =>
  minutes >= 0 ? `${Math.floor(minutes)} min to spare` : `${Math.ceil(-minutes)} min late`;
