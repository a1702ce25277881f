import type { Voice } from '../catalogue/index.ts';
import type { SpillAnswer } from '../spill/index.ts';
import { saidMinutes } from './minutes.ts';

/** The answer in a sentence or two: what oil reaches next, what it reaches in the end. `nameOf` writes an id with its name. */
export function spillSentences(
  { arrivals, outfalls, inlets }: SpillAnswer,
  nameOf: (id: string) => string,
  voice: Voice,
): string[] {
  if (inlets.length === 0) return ['Nothing drains from here. Take the oil up where it lies.'];
  const next = arrivals.find(({ minutes }) => minutes > 0);
  const here = arrivals.filter(({ minutes }) => minutes <= 0).map(({ id }) => nameOf(id));
  const sentences = [
    here.length > 0 ? `Oil can be at ${voice.list(here)} now.` : '',
    next
      ? `${here.length > 0 ? 'Next is' : 'Oil is first at'} ${nameOf(next.id)}, ${saidMinutes(next.minutes, voice)}.`
      : '',
  ];
  for (const { id, minutes, pastSeparator } of outfalls) {
    sentences.push(
      `It can be at ${nameOf(id)} ${saidMinutes(minutes, voice)}${pastSeparator ? ', through a separator' : ', past no separator'}.`,
    );
  }
  if (outfalls.length === 0) sentences.push('It reaches no outfall.');
  return sentences.filter((sentence) => sentence !== '');
}

/** What the times and litres rest on. */
export function spillAssumptions(
  { ways, fluid, defaults }: SpillAnswer,
  { isRain, isThick }: { isRain: boolean; isThick: boolean },
  voice: Voice,
): string[] {
  const full = ways.filter(({ isSurcharged }) => isSurcharged).map(({ id }) => id);
  return [
    'Times are no sooner than: at the mean speed of water, rounded down. Oil can come later.',
    isRain
      ? 'The rain has fallen long enough for all of the yard to run.'
      : 'It is dry: the ground keeps some oil on the way.',
    ...defaultSentences(defaults, voice),
    ...(full.length > 0 ? [`More comes than ${voice.list(full)} can carry: full, with water standing above.`] : []),
    ...(fluid !== null && isThick ? ['This fluid is thick and runs slower than water.'] : []),
  ];
}

const MOST_NAMED = 5;

/** The defaults that times rest on, with the links they were used for. */
function defaultSentences({ diameter, slope, flat }: SpillAnswer['defaults'], voice: Voice): string[] {
  const named = (ids: readonly string[]) =>
    ids.length > MOST_NAMED
      ? `${ids.slice(0, MOST_NAMED).join(', ')} and ${ids.length - MOST_NAMED} more`
      : voice.list(ids);
  return [
    ...(diameter.length > 0 ? [`No size is on the map for ${named(diameter)}: taken as 300 mm.`] : []),
    ...(slope.length > 0 ? [`No slope or inverts are on the map for ${named(slope)}: taken as falling 1 in 100.`] : []),
    ...(flat.length > 0
      ? [`${named(flat)} ${flat.length === 1 ? 'is' : 'are'} flat or uphill: taken as falling 1 in 1,000.`]
      : []),
  ];
}
