import { formatNumber, formatShare, formatVolume, MM_PER_INCH, type Units } from '../../units/index.ts';
import type { SeparatorUpkeep } from '../../upkeep/index.ts';

/** A thickness: "9 mm" or "0.35 in". */
export const thicknessWords = (mm: number, units: Units): string =>
  units === 'us' ? `${formatNumber(mm / MM_PER_INCH, 2)} in` : `${formatNumber(mm, mm < 10 ? 1 : 0)} mm`;

/** How full one separator is and what to do, most pressing first. */
export function upkeepSentences(separator: SeparatorUpkeep, name: string, units: Units): string[] {
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
  if (readAt === null && oilLitres === null) {
    return [`Nobody has read ${name} yet. Read it within ${nextVisitDays} days.`];
  }
  if (emptiedAt !== null) {
    return [
      `${name} was pumped out on ${emptiedAt.slice(0, 10)}, and nobody has read it since.`,
      `Read it within ${nextVisitDays} ${nextVisitDays === 1 ? 'day' : 'days'} of that.`,
    ];
  }
  const oil = oilLitres === null ? '' : `${formatVolume(oilLitres, units)} of oil`;
  const thick = oilMm === null ? '' : `, ${thicknessWords(oilMm, units)}`;
  const sediment = sludgeMm === null ? '' : `, ${thicknessWords(sludgeMm, units)} of sediment`;
  const held = `${name} held ${oil}${thick}${sediment} when read on ${readAt?.slice(0, 10)}`;
  const sentences = [
    state === 'pump-out'
      ? `${held}. Have it pumped out: ${reasons.join(', ')}.`
      : state === 'watch'
        ? `${held}. Watch it: ${reasons.join(', ')}.`
        : `${held}. The packs suffice.`,
    state === 'pump-out'
      ? 'Call the contractor now. Nobody enters the vault.'
      : `Look again within ${nextVisitDays} ${nextVisitDays === 1 ? 'day' : 'days'} of that.`,
  ];
  if (packDays !== null && packDays > 0 && state === 'fine') {
    sentences.push(`New packs are likely to be wanted about ${packDays} days after it.`);
  }
  if (!hasForecast) {
    sentences.push(`${readings} of 4 readings: too few to say when it fills, so come monthly.`);
  }
  return sentences;
}

/** The chance of passing the limit, in a line for each time. */
export function chanceWords({ limitChanceByDays }: SeparatorUpkeep): string {
  return limitChanceByDays.map(({ days, chance }) => `${days} d ${formatShare(chance)}`).join(', ');
}

export const UPKEEP_ASSUMED: readonly string[] = [
  'Oil lies evenly over the plan area. Limits where the map states none: 1 in (25.4 mm) of oil, 6 in (152 mm) of sediment.',
  'The next visit is the last day on which the chance of passing the oil limit is under 5 %, between a day and a quarter.',
  'Readings are of what it held; days count from the last one.',
];
