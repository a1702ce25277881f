import { FLUIDS, type Fluid, type Position } from '../../site-map/index.ts';
import {
  MOST_LITRES,
  MOST_MINUTES,
  MOST_RAIN_MM_PER_H,
  type PosedSpill,
  type SpillPlace,
  type SpillQuestion,
} from '../../spill/index.ts';
import { noneOf, quantityWord, UsageError } from './input.ts';
import { say } from './voice.ts';

/** What `spill` and `block` ask about a spill. */
export interface SpillFlags {
  zone?: string;
  point?: string;
  litres?: string;
  fluid?: string;
  rain?: string;
  over?: string;
  still?: boolean;
  until?: string;
  ago?: string;
}

/** The question in the command's words, or a UsageError that says which of them is wrong. */
export function spillQuestion(flags: SpillFlags): SpillQuestion {
  const { zone, point, litres, fluid, rain, ago } = flags;
  if (litres === undefined) throw new UsageError(say('cli-errors.litres-missing'));
  return {
    place: spillPlace(zone, point),
    litres: quantityWord('--litres', litres, { quantity: 'litres', above: 0, atMost: MOST_LITRES }),
    fluid: fluid === 'unknown' ? fluid : fluidFlag(fluid, [...FLUIDS, 'unknown']),
    rainMmPerH:
      rain === undefined
        ? 0
        : quantityWord('--rain', rain, { quantity: 'mm/h', atLeast: 0, atMost: MOST_RAIN_MM_PER_H }),
    ...durationOf(flags),
    agoMinutes:
      ago === undefined ? 0 : quantityWord('--ago', ago, { quantity: 'minutes', atLeast: 0, atMost: MOST_MINUTES }),
  };
}

/** Over how many minutes it ran out, or until when it is taken to run on. */
function durationOf({
  over,
  still,
  until,
}: SpillFlags): Pick<SpillQuestion, 'overMinutes' | 'isStill' | 'untilMinutes'> {
  const minutes = (flag: string, word: string | undefined) =>
    word === undefined ? undefined : quantityWord(flag, word, { quantity: 'minutes', above: 0, atMost: MOST_MINUTES });
  if (still && over !== undefined) throw new UsageError(say('cli-errors.still-and-over'));
  if (!still && until !== undefined) throw new UsageError(say('cli-errors.until-without-still'));
  return still ? { isStill: true, untilMinutes: minutes('--until', until) } : { overMinutes: minutes('--over', over) };
}

/**
 * Which spill the answer is about, and what protects people, which stands ahead of everything: "A spill of 50 gal of diesel over 10
 * min on Fuel island (Z1)."
 */
export const spillHeading = (spill: Omit<PosedSpill, 'start'>, zone: string | null): string => {
  const { litres, fluid, overMinutes: minutes } = spill;
  const what = {
    volume: { litres },
    fluid: say(fluid === null ? 'answers.brief-unknown' : `things.fluid-${fluid}`),
    minutes: Math.max(1, Math.round(minutes)),
  };
  return zone === null ? say('cli.spill-here', what) : say('cli.spill-on', { ...what, zone });
};

/** The fluid of `--fluid`, or a UsageError that lists them, with what else may stand there. */
export function fluidFlag(word: string | undefined, values: readonly string[] = FLUIDS): Fluid | undefined {
  if (word === undefined) return undefined;
  return FLUIDS.find((fluid) => fluid === word) ?? noneOf('--fluid', word, values);
}

function spillPlace(zone: string | undefined, point: string | undefined): SpillPlace {
  if (zone !== undefined && point === undefined) return { zone };
  if (zone === undefined && point !== undefined) return { point: positionWord('--point', point) };
  throw new UsageError(say('cli-errors.zone-or-point'));
}

/** Longitude and latitude in one word; null where it is not two numbers on the globe. */
export function readPosition(word: string): Position | null {
  const [lon, lat, ...rest] = word.split(',').map((part) => (part.trim() === '' ? Number.NaN : Number(part)));
  return rest.length > 0 || !(Math.abs(lon) <= 180) || !(Math.abs(lat) <= 90) ? null : [lon, lat];
}

function positionWord(flag: string, word: string): Position {
  const position = readPosition(word);
  if (position) return position;
  throw new UsageError(say('cli-errors.position', { flag, word: JSON.stringify(word) }));
}
