import type { Voice } from '../catalogue/index.ts';
import { addDays, daysBetween } from '../site-map/index.ts';
import type { SeparatorUpkeep } from '../upkeep/index.ts';
import { dayCount, dayWords } from './days.ts';

/** A thickness: "9 mm" or "0.35 in". */
export const thicknessWords = (mm: number, voice: Voice): string => voice.text({ millimetres: mm });

/** How full one separator is and what to do, most pressing first. */
export function upkeepSentences(separator: SeparatorUpkeep, name: string, voice: Voice): string[] {
  const {
    readAt,
    emptiedAt,
    oilMm,
    oilLitres,
    sludgeMm,
    state,
    reasons,
    nextVisitDays,
    packDays,
    hasForecast,
    readings,
  } = separator;
  if (oilLitres === null) {
    const seen = state === 'fine' ? [] : [`${name}: ${voice.list(reasons)}.`];
    return [...seen, `Nobody has measured the oil in ${name} yet. Read it within ${dayCount(nextVisitDays, voice)}.`];
  }
  if (emptiedAt !== null) {
    return [
      `${name} was pumped out on ${emptiedAt.slice(0, 10)}, and nobody has read it since.`,
      `Read it within ${dayCount(nextVisitDays, voice)} of that.`,
    ];
  }
  const oil = oilLitres === null ? '' : `${voice.text({ litres: oilLitres })} of oil`;
  const thick = oilMm === null ? '' : `, ${thicknessWords(oilMm, voice)}`;
  const sediment = sludgeMm === null ? '' : `, ${thicknessWords(sludgeMm, voice)} of sediment`;
  const held = `${name} held ${oil}${thick}${sediment} when read on ${readAt?.slice(0, 10)}`;
  const sentences = [
    state === 'pump-out'
      ? `${held}. Have it pumped out: ${voice.list(reasons)}.`
      : state === 'watch'
        ? `${held}. Watch it: ${voice.list(reasons)}.`
        : `${held}. The packs suffice.`,
    state === 'pump-out'
      ? 'Call the contractor now. Nobody enters the vault.'
      : `Look again within ${dayCount(nextVisitDays, voice)} of that.`,
  ];
  if (packDays !== null && packDays > 0 && state === 'fine') {
    sentences.push(`New packs are likely to be wanted about ${dayCount(packDays, voice)} after it.`);
  }
  if (!hasForecast) {
    const monthly = state === 'pump-out' ? '' : ', so come monthly';
    sentences.push(`${readings} of 4 readings: too few to say when it fills${monthly}.`);
  }
  return sentences;
}

/** The chance of passing the limit, in a line for each time. */
export function chanceWords({ limitChanceByDays }: SeparatorUpkeep, voice: Voice): string {
  return limitChanceByDays.map(({ days, chance }) => `${days} d ${voice.text({ share: chance })}`).join(', ');
}

const CONTRACTOR = /pump|contractor/i;

type Contact = { role: string; name?: string; phone?: string };

/** Who pumps out, with a phone number; undefined where the map names nobody. */
export const contractorOf = (contacts: readonly Contact[]): Contact | undefined =>
  contacts.find(({ role, phone }) => phone && CONTRACTOR.test(role));

/** Who pumps out, and how to get them: "Hollin Spill Crew, 555-0121 (spill contractor)."; empty where the map names nobody. */
export function contractorWords(contacts: readonly Contact[], _voice: Voice): string {
  const contractor = contractorOf(contacts);
  if (!contractor) return '';
  const { role, name, phone } = contractor;
  return `${[name, phone].filter(Boolean).join(', ')} (${role}).`;
}

/** What still rises in it at the flow it is held against, which may be named as its design flow; empty where size or flow is not known. */
export function throughWords(
  { flowLps, smallestCaughtUm, isTooFast }: SeparatorUpkeep,
  { hasPlates, isDesignFlow = false }: { hasPlates: boolean; isDesignFlow?: boolean },
  voice: Voice,
): string {
  if (flowLps === null || smallestCaughtUm === null) return '';
  const at = `At ${voice.text({ lps: flowLps })}`;
  if (flowLps === 0) return 'No water runs through it: all oil has time to rise.';
  if (!Number.isFinite(smallestCaughtUm)) return `${at} nothing rises: oil and sediment leave no depth of water.`;
  const caught = `${at}${isDesignFlow ? ', its design flow' : ''}, drops down to ${voice.number(smallestCaughtUm)} µm still rise out`;
  const plates = hasPlates ? '; its plates catch smaller ones' : '';
  const fast = isTooFast ? ' Water runs through faster than 3 ft/min (15 mm/s), or 15 times the rise of oil.' : '';
  return `${caught}${plates}.${fast}`;
}

/** What the answer rests on. */
export const upkeepAssumptions = (_voice: Voice): readonly string[] => [
  'Oil lies evenly over the plan area. Limits where the map states none: 1 in (25.4 mm) of oil, 6 in (152 mm) of sediment.',
  'The next visit is the last day on which the chance of passing the oil limit is under 5 %, between a day and a quarter.',
  'Readings are of what it held; days count from the last one.',
];

/** "today", "in 12 days", "3 days late". */
export function dueWords(due: string, today: string, voice: Voice): string {
  const left = daysBetween(today, due);
  if (left === 0) return 'today';
  const count = Math.abs(left);
  const words = dayCount(count, voice);
  return left > 0 ? `in ${words}` : `${words} late`;
}

/** How full a separator is and what to do; what to do comes first where it is urgent. */
export function fullSentences(
  visit: SeparatorUpkeep & { due: string },
  { name, today }: { name: string; today: string },
  voice: Voice,
): string[] {
  const { readAt, emptiedAt, oilMm, oilLitres, state, reasons, limitDays, due, hasForecast, readings } = visit;
  const isLate = daysBetween(today, due) < 0;
  const by = isLate
    ? `That was due on ${dayWords(due, today, voice)}: go now.`
    : `Look again by ${dayWords(due, today, voice)}.`;
  if (oilLitres === null) {
    const seen = state === 'fine' ? [] : [`${name}: ${voice.list(reasons)}.`];
    return [
      ...seen,
      `Nobody has measured the oil in ${name} yet.`,
      isLate ? 'Read it now.' : `Read it by ${dayWords(due, today, voice)}.`,
    ];
  }
  if (emptiedAt !== null) return [`${name} was pumped out on ${dayWords(emptiedAt, today, voice)}.`, by];
  const thick = oilMm === null ? '' : `${thicknessWords(oilMm, voice)} of oil, `;
  const held = `${thick}${voice.text({ litres: oilLitres })}${oilMm === null ? ' of oil' : ''} in ${name}`;
  const read = readAt === null ? '' : ` on ${dayWords(readAt, today, voice)}`;
  if (state === 'pump-out') {
    return [`Have ${name} pumped out now: ${voice.list(reasons)}.`, `${held}${read}.`];
  }
  const around =
    limitDays !== null && limitDays > 0 && readAt !== null
      ? `At this rate it passes its limit around ${dayWords(addDays(readAt.slice(0, 10), limitDays), today, voice)}.`
      : hasForecast
        ? 'At this rate it stays under its limit for a year.'
        : `${readings} of 4 readings: too few to say when it fills.`;
  const watch = state === 'watch' ? [`Watch it: ${voice.list(reasons)}.`] : [];
  return [`${held}${read}.`, ...watch, around, by];
}
