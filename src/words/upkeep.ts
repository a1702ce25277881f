import type { Voice } from '../catalogue/index.ts';
import { addDays, daysBetween } from '../site-map/index.ts';
import { FEWEST_READINGS, type SeparatorUpkeep } from '../upkeep/index.ts';
import { dayWords } from './days.ts';

/** A thickness: "9 mm" or "0.35 in". */
export const thicknessWords = (mm: number, voice: Voice): string => voice.text({ millimetres: mm });

/** What a separator held: "21 L of oil, 9 mm, 40 mm of sediment". */
function heldWords(
  oilLitres: number,
  { oilMm, sludgeMm }: Pick<SeparatorUpkeep, 'oilMm' | 'sludgeMm'>,
  voice: Voice,
): string {
  const litres = { litres: oilLitres };
  return [
    oilMm === null
      ? voice.say('answers.held-oil', { litres })
      : voice.say('answers.held-oil-thick', { litres, thickness: { millimetres: oilMm } }),
    ...(sludgeMm === null ? [] : [voice.say('answers.held-sediment', { thickness: { millimetres: sludgeMm } })]),
  ].join(', ');
}

/** How full one separator is and what to do, most pressing first. */
export function upkeepSentences(separator: SeparatorUpkeep, name: string, voice: Voice): string[] {
  const { readAt, emptiedAt, oilLitres, state, nextVisitDays: days, packDays } = separator;
  const reasons = { list: separator.reasons };
  if (oilLitres === null || readAt === null) {
    return [
      ...(state === 'fine' ? [] : [voice.say('answers.reasons', { name, reasons })]),
      voice.say('answers.unmeasured', { name }),
      voice.say('answers.read-within', { days }),
    ];
  }
  if (emptiedAt !== null) {
    return [
      voice.say('answers.emptied-unread', { name, day: { day: emptiedAt } }),
      voice.say('answers.read-within-of', { days }),
    ];
  }
  const isFull = state === 'pump-out';
  return [
    voice.say('answers.held', { name, what: heldWords(oilLitres, separator, voice), day: { day: readAt } }),
    state === 'fine'
      ? voice.say('answers.pillows-suffice')
      : voice.say(isFull ? 'answers.have-pumped' : 'answers.watch', { reasons }),
    isFull ? voice.say('answers.call-contractor') : voice.say('answers.look-within-of', { days }),
    ...(packDays !== null && packDays > 0 && state === 'fine'
      ? [voice.say('answers.new-pillows', { days: packDays })]
      : []),
    ...(separator.hasForecast ? [] : [tooFewWords(separator, !isFull, voice)]),
  ];
}

const tooFewWords = ({ readings }: SeparatorUpkeep, isMonthly: boolean, voice: Voice) =>
  voice.say(isMonthly ? 'answers.too-few-readings-monthly' : 'answers.too-few-readings', {
    readings,
    needed: FEWEST_READINGS,
  });

/** The chance of passing the limit, in a line for each time. */
export const chanceWords = ({ limitChanceByDays }: SeparatorUpkeep, voice: Voice): string =>
  limitChanceByDays
    .map(({ days, chance }) => voice.say('answers.chance-by', { days, chance: { share: chance } }))
    .join(', ');

const CONTRACTOR = /pump|contractor|contratista/i;

type Contact = { role: string; name?: string; phone?: string };

/** Who pumps out, with a phone number; undefined where the map names nobody. */
export const contractorOf = (contacts: readonly Contact[]): Contact | undefined =>
  contacts.find(({ role, phone }) => phone && CONTRACTOR.test(role));

/** Who pumps out, and how to get them: "Hollin Spill Crew, 555-0121 (spill contractor)."; empty where the map names nobody. */
export function contractorWords(contacts: readonly Contact[], voice: Voice): string {
  const contractor = contractorOf(contacts);
  if (!contractor) return '';
  const { role, name, phone = '' } = contractor;
  return name
    ? voice.say('answers.contractor', { role, name, phone })
    : voice.say('answers.contractor-phone', { role, phone });
}

/** What still rises in it at the flow it is held against, which may be named as its design flow; empty where size or flow is not known. */
export function throughWords(
  { flowLps, smallestCaughtUm, isTooFast }: SeparatorUpkeep,
  { hasPlates, isDesignFlow = false }: { hasPlates: boolean; isDesignFlow?: boolean },
  voice: Voice,
): string {
  if (flowLps === null || smallestCaughtUm === null) return '';
  if (flowLps === 0) return voice.say('answers.no-flow');
  const flow = { lps: flowLps };
  if (!Number.isFinite(smallestCaughtUm)) return voice.say('answers.nothing-rises', { flow });
  const caught = voice.say(`answers.rises${isDesignFlow ? '-design' : ''}${hasPlates ? '-plates' : ''}`, {
    flow,
    size: { number: smallestCaughtUm },
  });
  return isTooFast ? `${caught} ${voice.say('answers.too-fast')}` : caught;
}

/** The chance of passing the limit that the next visit keeps under. */
const VISIT_CHANCE = 0.05;

/** What the answer rests on. */
export const upkeepAssumptions = (voice: Voice): string[] => [
  voice.say('answers.assume-even', { oil: { number: 25.4, digits: 1 }, sediment: { number: 152 } }),
  voice.say('answers.assume-visit', { chance: { share: VISIT_CHANCE } }),
  voice.say('answers.assume-readings'),
];

/** "today", "in 12 days", "3 days late". */
export function dueWords(due: string, today: string, voice: Voice): string {
  const left = daysBetween(today, due);
  if (left === 0) return voice.say('days.today');
  return voice.say(left > 0 ? 'days.in' : 'days.late', { count: Math.abs(left) });
}

/** How full a separator is and what to do; what to do comes first where it is urgent. */
export function fullSentences(
  visit: SeparatorUpkeep & { due: string },
  { name, today }: { name: string; today: string },
  voice: Voice,
): string[] {
  const { readAt, emptiedAt, oilMm, oilLitres, state, due } = visit;
  const dayOf = (day: string) => dayWords(day, today, voice);
  const isLate = daysBetween(today, due) < 0;
  const by = voice.say(isLate ? 'answers.was-due' : 'answers.look-by', { day: dayOf(due) });
  const reasons = { list: visit.reasons };
  if (oilLitres === null || readAt === null) {
    return [
      ...(state === 'fine' ? [] : [voice.say('answers.reasons', { name, reasons })]),
      voice.say('answers.unmeasured', { name }),
      isLate ? voice.say('answers.read-now') : voice.say('answers.read-by', { day: dayOf(due) }),
    ];
  }
  if (emptiedAt !== null) return [voice.say('answers.emptied', { name, day: dayOf(emptiedAt) }), by];
  const read = { name, litres: { litres: oilLitres }, day: dayOf(readAt) };
  const held =
    oilMm === null
      ? voice.say('answers.full', read)
      : voice.say('answers.full-thick', { ...read, thickness: { millimetres: oilMm } });
  if (state === 'pump-out') return [voice.say('answers.pump-out-now', { name, reasons }), held];
  const watch = state === 'watch' ? [voice.say('answers.watch', { reasons })] : [];
  return [held, ...watch, limitSentence(visit, readAt, dayOf, voice), by];
}

/** When it passes its limit at the rate that was read. */
function limitSentence(visit: SeparatorUpkeep, readAt: string, dayOf: (day: string) => string, voice: Voice): string {
  const { limitDays, hasForecast } = visit;
  if (limitDays !== null && limitDays > 0)
    return voice.say('answers.limit-around', { day: dayOf(addDays(readAt.slice(0, 10), limitDays)) });
  return hasForecast ? voice.say('answers.limit-far') : tooFewWords(visit, false, voice);
}
