import type { Voice } from '../catalogue/index.ts';
import type { SpillAnswer } from '../spill/index.ts';
import { whenOf } from './minutes.ts';

/** The answer in a sentence or two: what oil reaches next, what it reaches in the end. `nameOf` writes an id with its name. */
export function spillSentences(
  { arrivals, outfalls, inlets }: SpillAnswer,
  nameOf: (id: string) => string,
  voice: Voice,
): string[] {
  if (inlets.length === 0)
    return [`${voice.say('answers.nothing-drains', { place: 'first' })} ${voice.say('answers.take-up')}`];
  const next = arrivals.find(({ minutes }) => minutes > 0);
  const here = arrivals.filter(({ minutes }) => minutes <= 0).map(({ id }) => nameOf(id));
  return [
    ...(here.length > 0 ? [voice.say('answers.spill-here', { places: { list: here } })] : []),
    ...(next
      ? [
          voice.say(here.length > 0 ? 'answers.spill-next' : 'answers.spill-first', {
            place: nameOf(next.id),
            ...whenOf(next.minutes),
          }),
        ]
      : []),
    ...outfalls.map(({ id, minutes, pastSeparator }) =>
      voice.say('answers.spill-end', {
        place: nameOf(id),
        ...whenOf(minutes),
        way: pastSeparator ? 'separator' : 'none',
      }),
    ),
    ...(outfalls.length === 0 ? [voice.say('answers.spill-no-outfall')] : []),
  ];
}

/** Where the litres are in the end if nothing is done, largest first, in one sentence. */
export function litresSentence({ litres }: Pick<SpillAnswer, 'litres'>, voice: Voice): string {
  const parts = (['toWater', 'toPublicDrain', 'held', 'onGround', 'moving'] as const)
    .filter((part) => litres[part] >= LEAST_LITRES)
    .sort((a, b) => litres[b] - litres[a])
    .map((part) => voice.say(`answers.litres-${LITRES_PARTS[part]}`, { litres: { litres: litres[part] } }));
  return voice.say('answers.litres-end', { parts: { list: parts } });
}

/** So little is not told. */
const LEAST_LITRES = 0.05;
const LITRES_PARTS = {
  toWater: 'water',
  toPublicDrain: 'public',
  held: 'held',
  onGround: 'ground',
  moving: 'moving',
} as const;

/** What the times and litres rest on. */
export function spillAssumptions(
  { ways, fluid, defaults }: SpillAnswer,
  { isRain, isThick }: { isRain: boolean; isThick: boolean },
  voice: Voice,
): string[] {
  const full = ways.filter(({ isSurcharged }) => isSurcharged).map(({ id }) => id);
  return [
    voice.say('answers.assume-times'),
    voice.say(isRain ? 'answers.assume-rain' : 'answers.assume-dry'),
    ...defaultSentences(defaults, voice),
    ...(full.length > 0 ? [voice.say('answers.assume-full', { links: { list: full } })] : []),
    ...(fluid !== null && isThick ? [voice.say('answers.assume-thick')] : []),
  ];
}

const MOST_NAMED = 5;

/** The defaults that times rest on, with the links they were used for. */
function defaultSentences({ diameter, slope, flat }: SpillAnswer['defaults'], voice: Voice): string[] {
  const named = (ids: readonly string[]) =>
    ids.length > MOST_NAMED
      ? voice.say('answers.names-and-more', {
          names: ids.slice(0, MOST_NAMED).join(', '),
          count: ids.length - MOST_NAMED,
        })
      : voice.list(ids);
  return [
    ...(diameter.length > 0 ? [voice.say('answers.assume-diameter', { links: named(diameter) })] : []),
    ...(slope.length > 0 ? [voice.say('answers.assume-slope', { links: named(slope) })] : []),
    ...(flat.length > 0
      ? [voice.say('answers.assume-flat', { links: named(flat), count: flat.length, run: 1000 })]
      : []),
  ];
}
