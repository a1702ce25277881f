import { told } from '../../catalogue/index.ts';
import { FLUIDS, type Fluid, idRemedy, type Position, type SiteMap } from '../../site-map/index.ts';
import type { SpillPlace, SpillQuestion } from '../../spill/index.ts';
import { InputError, oneOf, quantityWord, UsageError } from './input.ts';
import { fileLine } from './print.ts';
import { say } from './voice.ts';

/** What `spill` and `block` ask about a spill. */
export interface SpillFlags {
  zone?: string;
  point?: string;
  litres?: string;
  fluid?: string;
  rain?: string;
  over?: string;
  ago?: string;
}

/** Litres above this are no yard's spill: more than a large road tanker holds. */
export const MOST_LITRES = 100_000;
/** More than the heaviest hour of rain on record, near 400 mm. */
export const MOST_RAIN_MM_PER_H = 500;
const MOST_MINUTES = 10_000;

/** The question in the command's words, or a UsageError that says which of them is wrong. */
export function spillQuestion({ zone, point, litres, fluid, rain, over, ago }: SpillFlags): SpillQuestion {
  if (litres === undefined) throw new UsageError(say('cli-errors.litres-missing'));
  return {
    place: spillPlace(zone, point),
    litres: quantityWord('--litres', litres, { quantity: 'litres', above: 0, atMost: MOST_LITRES }),
    fluid: fluidFlag(fluid),
    rainMmPerH:
      rain === undefined
        ? 0
        : quantityWord('--rain', rain, { quantity: 'mm/h', atLeast: 0, atMost: MOST_RAIN_MM_PER_H }),
    overMinutes:
      over === undefined ? 1 : quantityWord('--over', over, { quantity: 'minutes', above: 0, atMost: MOST_MINUTES }),
    agoMinutes:
      ago === undefined ? 0 : quantityWord('--ago', ago, { quantity: 'minutes', atLeast: 0, atMost: MOST_MINUTES }),
  };
}

/** Which spill the answer is about: "A spill of 50 gal on Fuel island (Z1)." */
export const spillHeading = (litres: number, zone: string | null): string =>
  zone === null ? say('cli.spill-here', { volume: { litres } }) : say('cli.spill-on', { volume: { litres }, zone });

/** The fluid of `--fluid`, or a UsageError that lists them. */
export const fluidFlag = (word: string | undefined): Fluid | undefined =>
  word === undefined ? undefined : oneOf('--fluid', word, FLUIDS);

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

/** Where a crew sets out: a place of the map by its id, or a position. */
export function crewPlace(file: string, { structures, others }: SiteMap, word: string): Position {
  const standing = others.flatMap(({ id, geometry }) =>
    id === word && geometry.type === 'Point' ? [geometry.coordinates] : [],
  );
  const place = structures.find(({ id }) => id === word)?.position ?? standing[0];
  const position = place ?? readPosition(word);
  if (position) return position;
  const points = others.filter(({ geometry }) => geometry.type === 'Point').map(({ id }) => id);
  const crews = others.flatMap(({ id, properties }) => (properties.kind === 'crew' ? [id] : [])).slice(0, 3);
  const otherwise =
    crews.length > 0
      ? told('cli-errors.no-crew-cure-such', { crews: crews.join(', ') })
      : told('cli-errors.no-crew-cure');
  const ids = [...points, ...structures.map(({ id }) => id)];
  const cure = idRemedy(word, ids, otherwise);
  throw new InputError([fileLine(file, say('cli-errors.no-crew', { word: JSON.stringify(word), cure }))]);
}
