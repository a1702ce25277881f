import type { Voice } from '../catalogue/index.ts';
import type { MeasureEffect, MeasuresPlan } from '../measures/index.ts';
import { LITRES_PER_GALLON } from '../units/index.ts';

const NAMED = ['sweeping', 'drip-pans', 'hose-checks', 'roof', 'low-wall', 'insert', 'shut-off-valve'] as const;

/** What a measure is called: "Sweeping", "Drip pans"; one that is not in the table by its own word. */
export function measureName(measure: string, voice: Voice): string {
  const named = NAMED.find((each) => each === measure);
  return named ? voice.say(`things.measure-${named}`) : measure;
}

export function measuresSentences(
  { chosen, cost, litresPerYear, nowLitresPerYear, gap }: MeasuresPlan,
  budget: number,
  voice: Voice,
): string[] {
  if (chosen.length === 0) return [voice.say('answers.buys-nothing', { budget: { money: budget } })];
  const keeps = { cost: { money: cost }, kept: { litres: litresPerYear } };
  return [
    nowLitresPerYear > 0
      ? voice.say('answers.measures-keep-of', { ...keeps, now: { litres: nowLitresPerYear } })
      : voice.say('answers.measures-keep', keeps),
    gap === 0
      ? voice.say('answers.measures-best')
      : voice.say('answers.measures-gap', { percent: { number: 100 * gap, digits: 1 } }),
  ];
}

/** Money for a gallon or a litre kept out, by the site's units. */
export const perLitreWords = ({ perLitre }: MeasureEffect, voice: Voice): string =>
  perLitre === null ? '–' : voice.text({ money: perLitre * (voice.units === 'us' ? LITRES_PER_GALLON : 1) });

/** What the answer rests on. */
export const measuresAssumptions = (voice: Voice): string[] => [
  voice.say('answers.assume-measures'),
  voice.say('answers.assume-years'),
  voice.say('answers.assume-multiply'),
];
