import type { Voice } from '../catalogue/index.ts';
import type { MeasureEffect, MeasuresPlan } from '../measures/index.ts';
import { LITRES_PER_GALLON } from '../units/index.ts';

/** What a measure is called, as an order: "Sweep", "Put drip pans". */
const NAMES: Record<string, string> = {
  sweeping: 'Sweeping',
  'drip-pans': 'Drip pans',
  'hose-checks': 'Hose checks',
  roof: 'A roof',
  'low-wall': 'A low wall round it',
  insert: 'An insert in the grate',
  'shut-off-valve': 'A shut-off valve',
};

export const measureName = (measure: string, _voice: Voice): string => NAMES[measure] ?? measure;

export function measuresSentences(
  { chosen, cost, litresPerYear, nowLitresPerYear, gap }: MeasuresPlan,
  budget: number,
  voice: Voice,
): string[] {
  const money = (amount: number) => voice.text({ money: amount });
  if (chosen.length === 0) return [`${money(budget)} buys nothing that keeps oil out here.`];
  const part = nowLitresPerYear > 0 ? ` of ${voice.text({ litres: nowLitresPerYear })}` : '';
  return [
    `${money(cost)} keeps ${voice.text({ litres: litresPerYear })}${part} a year out of separators and outfalls.`,
    gap === 0
      ? 'No other set for this money keeps out more; that is proved.'
      : `What is left may be over the least by ${(100 * gap).toFixed(1)} %.`,
  ];
}

/** Money for a gallon or a litre kept out, by the site's units. */
export const perLitreWords = ({ perLitre }: MeasureEffect, voice: Voice): string =>
  perLitre === null ? '–' : voice.text({ money: perLitre * (voice.units === 'us' ? LITRES_PER_GALLON : 1) });

/** What the answer rests on. */
export const measuresAssumptions = (_voice: Voice): readonly string[] => [
  'What measures cut and cost are guesses but for inserts (10 to 19 %, published): edit them in the site’s measures.',
  'Costs are those of the first year. Money per litre or gallon is a year’s cost over ten years ÷ what it keeps out.',
  'Measures one after the other multiply: each works on what those before it let through.',
];
