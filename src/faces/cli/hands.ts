import type { Hand } from '../../block/index.ts';
import { told } from '../../catalogue/index.ts';
import { idRemedy, isOfKind, type Position, type SiteMap, walkerPosition } from '../../site-map/index.ts';
import type { SpillPlace } from '../../spill/index.ts';
import { InputError, UsageError } from './input.ts';
import { fileLine } from './print.ts';
import { readPosition } from './spill-flags.ts';
import { say } from './voice.ts';

/** Who can place controls, as the command says it. */
export interface HandFlags {
  crew?: string;
  hands?: string;
}

/** Someone at the spill, who may fetch from any kit. */
const HERE = 'here';

/**
 * The hands of `--hands`, or of `--crew`, which names one; undefined where neither is given. An InputError names a hand that the map
 * does not have. They are separated by ";", or by "," where no position stands among them.
 */
export function handsFlag(
  file: string,
  map: SiteMap,
  { crew, hands }: HandFlags,
  place: SpillPlace,
): Hand[] | undefined {
  if (crew !== undefined && hands !== undefined) throw new UsageError(say('cli-errors.crew-and-hands'));
  const [flag, word] = hands === undefined ? ['--crew', crew] : ['--hands', hands];
  if (word === undefined) return undefined;
  const words = handWords(map, word);
  if (words.length === 0) throw new UsageError(say('cli-errors.no-hands', { flag }));
  const twice = words.find((each, at) => words.indexOf(each) < at);
  if (twice !== undefined) throw new UsageError(say('cli-errors.hand-twice', { flag, word: JSON.stringify(twice) }));
  return words.map((each) => {
    const position = each === HERE ? spillPosition(map, place) : (walkerPosition(map, each) ?? readPosition(each));
    return position ? { id: each, position } : noHand(file, map, flag, each);
  });
}

function handWords(map: SiteMap, word: string): string[] {
  const split = (mark: string) =>
    word
      .split(mark)
      .map((each) => each.trim())
      .filter((each) => each !== '');
  if (word.includes(';')) return split(';');
  const byComma = split(',');
  const isOnMap = (each: string) => each === HERE || walkerPosition(map, each) !== null;
  return readPosition(word) && !byComma.every(isOnMap) ? [word.trim()] : byComma;
}

/** Where somebody stands who is at the spill: at its point, or in the middle of its zone. */
const spillPosition = (map: SiteMap, place: SpillPlace): Position | null =>
  'point' in place ? place.point : walkerPosition(map, place.zone);

function noHand(file: string, map: SiteMap, flag: string, word: string): never {
  const { others, structures, zones } = map;
  const crews = others.flatMap((each) => (isOfKind(each, 'crew') ? [each.id] : []));
  const points = others.filter(({ geometry }) => geometry.type === 'Point').map(({ id }) => id);
  const otherwise =
    crews.length > 0
      ? told('cli-errors.no-crew-cure-such', { crews: crews.slice(0, 3).join(', ') })
      : told('cli-errors.no-crew-cure');
  const ids = [...points, ...structures.map(({ id }) => id), ...zones.map(({ id }) => id)];
  const found = { flag, word: JSON.stringify(word), cure: idRemedy(word, ids, otherwise) };
  throw new InputError([fileLine(file, say('cli-errors.no-crew', found))]);
}
