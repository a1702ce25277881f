import { type Text, told } from '../catalogue/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import type { SpillQuestion } from './question.ts';

/** Litres above this are no yard's spill: more than a large road tanker holds. */
export const MOST_LITRES = 100_000;
/** A week, about. */
export const MOST_MINUTES = 10_000;
/** More than the heaviest hour of rain on record, near 400 mm. */
export const MOST_RAIN_MM_PER_H = 500;

/** A number of a question, and what it may be. */
interface Asked {
  what: 'litres' | 'over' | 'until' | 'rain' | 'ago';
  value: number | undefined;
  most: number;
  /** The number with its unit. */
  say(value: number): Text;
}

const litres = (value: number) => ({ litres: value });
const minutes = (value: number) => told('spill.in-minutes', { count: value });
const rain = (mmPerHour: number) => ({ mmPerHour });

/**
 * What is wrong with the numbers of a question, all at once: litres of nothing or of more than any yard holds, a release
 * over no time, times or rain below 0. `field` is the flag that it is asked with. What is left out is never wrong. O(1).
 */
export function questionProblems(question: SpillQuestion): Problem[] {
  const { isStill, overMinutes, untilMinutes, rainMmPerH, agoMinutes } = question;
  const asked: Asked[] = [
    { what: 'litres', value: question.litres, most: MOST_LITRES, say: litres },
    { what: 'over', value: isStill ? undefined : overMinutes, most: MOST_MINUTES, say: minutes },
    { what: 'until', value: isStill ? untilMinutes : undefined, most: MOST_MINUTES, say: minutes },
    { what: 'rain', value: rainMmPerH, most: MOST_RAIN_MM_PER_H, say: rain },
    { what: 'ago', value: agoMinutes, most: MOST_MINUTES, say: minutes },
  ];
  return asked.flatMap(({ what, value, most, say }): Problem[] => {
    const mayBeNone = what === 'rain' || what === 'ago';
    if (value === undefined || (value <= most && (mayBeNone ? value >= 0 : value > 0))) return [];
    const words = {
      message: told('spill.bad-number', { what }),
      found: told('spill.number-found', { number: say(value) }),
      allowed: told(mayBeNone ? 'spill.none-to-most' : 'spill.above-none-to-most', { most: say(most) }),
      cure: told('spill.bad-number-remedy', { what }),
    };
    return [problem('bad-field', { id: null, field: `--${what}` }, words)];
  });
}
