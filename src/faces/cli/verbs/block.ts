import { type BlockAnswer, type BlockQuestion, findBlocks, type SingleControl } from '../../../block/index.ts';
import type { Drainage } from '../../../drainage/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { farShutOff, findSpill, type ModelFacts } from '../../../spill/index.ts';
import { briefOf, type Places, type PlanTelling, planTelling, spillAssumptions } from '../../../words/index.ts';
import type { FindingsSource } from '../findings.ts';
import { type HandFlags, handsFlag } from '../hands.ts';
import { kindsOf, loadDrainage, namesOf, output, quantityWord, throwErrors, UsageError } from '../input.ts';
import { bullets, heading, left, problemWords, right, table } from '../print.ts';
import { type SpillFlags, spillHeading, spillQuestion } from '../spill-flags.ts';
import { say, voice } from '../voice.ts';
import { factsOf } from './spill.ts';

interface BlockFlags extends SpillFlags, HandFlags {
  margin?: string;
  on?: string;
  brief?: boolean;
  findings?: FindingsSource;
  json?: boolean;
}

const SINGLES_SHOWN = 10;
const MOST_MARGIN_MINUTES = 1_000;

/** `oilshed block MAP --zone ID|--point LON,LAT --litres X`: what still can be kept, by whom, in which order? */
export async function block(file: string, flags: BlockFlags): Promise<number> {
  const { findings } = flags;
  if (findings !== undefined && flags.zone === undefined && flags.point === undefined)
    return (await import('./block-findings.ts')).blockFindings(file, { ...flags, findings });
  if (flags.brief && flags.json) throw new UsageError(say('cli-errors.brief-and-json'));
  const asked = spillQuestion(flags);
  const marginMinutes =
    flags.margin === undefined
      ? undefined
      : quantityWord('--margin', flags.margin, { quantity: 'minutes', atLeast: 0, atMost: MOST_MARGIN_MINUTES });
  const on = flags.on === undefined ? undefined : dayWord('--on', flags.on);
  const drainage = await loadDrainage(file);
  const { map } = drainage;
  const met = findings === undefined ? null : (await import('../held.ts')).metIn(drainage, findings);
  const hands = handsFlag(file, map, flags, asked.place);
  const question = { ...asked, hands, marginMinutes, on: on ?? met?.newest ?? undefined };
  const { answer, problems } = findBlocks(drainage, question, met?.facts);
  throwErrors(file, problems);
  if (!answer) return 1;
  const places = { nameOf: namesOf(map), kindOf: kindsOf(map), others: map.others };
  output(flags.json, { ...answer, problems }, () => {
    if (flags.brief) return briefOf(answer, places, voice()).join('\n');
    const warnings = problems.map((each) => problemWords({ ...each, field: null }));
    return answerText(map, answer, {
      places,
      warnings,
      assumed: spillAssumed(drainage, question, met?.facts),
    });
  });
  return 0;
}

/** A day as YYYY-MM-DD, or a UsageError. */
function dayWord(flag: string, word: string): string {
  const day = /^\d{4}-\d{2}-\d{2}$/.test(word) ? new Date(`${word}T00:00:00Z`) : new Date(Number.NaN);
  // A day that no month has would be taken for one of the next month.
  if (!Number.isNaN(day.getTime()) && day.toISOString().startsWith(word)) return word;
  throw new UsageError(say('cli-errors.day', { flag, word: JSON.stringify(word) }));
}

/** What the way of the oil rests on. */
function spillAssumed(drainage: Drainage, question: BlockQuestion, facts: ModelFacts | undefined): string[] {
  const { answer } = findSpill(drainage, question, facts);
  return answer ? spillAssumptions(answer, factsOf(answer), voice()) : [];
}

interface Told {
  places: Places;
  warnings: string[];
  assumed: string[];
}

/** Safety, then what to do now, then what that keeps and why, then how sure it is and what it rests on. */
function answerText(map: SiteMap, answer: BlockAnswer, { places, warnings, assumed }: Told): string {
  const { nameOf } = places;
  const telling = planTelling(answer, places, voice());
  const far = answer.spill.mayBeGasoline && answer.zone !== null ? farShutOff(map, answer.zone) : null;
  const [step] = telling.steps;
  const [now, ...instead] = telling.now;
  return [
    ...telling.first,
    ...(far ? [voice().tell(far)] : []),
    '',
    spillHeading(answer.spill, answer.zone && nameOf(answer.zone)),
    ...warnings,
    ...(step?.before ?? []),
    heading(now),
    ...(step?.when ? [step.when] : []),
    ...instead,
    ...(step && telling.why ? [telling.why] : []),
    ...telling.kept,
    ...telling.whilePlacing,
    ...telling.backingUp,
    ...(telling.columns[1].steps.length > 0 || telling.steps.length > 1 ? stepsText(telling, answer, nameOf) : []),
    '',
    telling.state,
    telling.costRange ? `${telling.costs} ${telling.costRange}` : telling.costs,
    ...(telling.gap ? [telling.gap] : []),
    ...(answer.singles.length > 0 ? ['', singlesTable(answer, nameOf)] : []),
    '',
    say('cli.take-care'),
    bullets(telling.always),
    say('cli.assumed'),
    bullets([...telling.assumed, ...assumed]),
  ].join('\n');
}

/** A table of the steps under each title, those of one alone and those of the crew. */
function stepsText(
  { columns }: PlanTelling,
  { plan: { controls } }: BlockAnswer,
  nameOf: (id: string) => string,
): string[] {
  return columns.flatMap(({ title, steps }) => {
    if (steps.length === 0) return [];
    const rows = steps.map((step) => {
      const planned = controls.find(({ at, control }) => at === step.at && control === step.control);
      const crew = planned?.crewMinutes ?? null;
      return [
        step.order,
        step.who ?? '–',
        step.kit === null ? '–' : nameOf(step.kit),
        crew === null ? '–' : say('minutes.minutes', { count: Math.ceil(crew) }),
        voice().text({ litres: planned?.keepsLitres ?? 0 }),
      ];
    });
    const head = [
      left('cli.block-column-place'),
      left('cli.block-column-who'),
      left('cli.block-column-from'),
      right('cli.block-column-crew'),
      right('cli.block-column-keeps'),
    ];
    const care = [...new Set(steps.flatMap(({ before }) => before))];
    return ['', heading(title), ...care, table(head, rows)];
  });
}

function singlesTable({ singles }: BlockAnswer, nameOf: (id: string) => string): string {
  const { text } = voice();
  const rows = singles
    .slice(0, SINGLES_SHOWN)
    .map((single) => [
      say(`things.control-${single.control}`),
      nameOf(single.at),
      text({ litres: single.keepsLitres }),
      text({ money: Math.max(0, single.saves) }),
      single.waters.length > 0 ? single.waters.join(' ') : say('cli.block-none'),
      inTimeWords(single),
    ]);
  const columns = [
    left('cli.column-one-control'),
    left('cli.column-at'),
    right('cli.block-column-keeps'),
    right('cli.column-saves'),
    left('cli.block-column-water'),
    left('cli.block-column-in-time'),
  ];
  const more = singles.length - SINGLES_SHOWN;
  return table(columns, rows) + (more > 0 ? `\n  ${say('cli.more-in-json', { count: more })}` : '');
}

function inTimeWords({ inStock, spareMinutes: minutes }: SingleControl): string {
  if (!inStock) return say('cli.block-no-kit');
  if (minutes === null) return '–';
  return minutes >= 0
    ? say('cli.block-spare', { minutes: Math.floor(minutes) })
    : say('cli.block-late', { minutes: Math.ceil(-minutes) });
}
