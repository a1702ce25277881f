import type { Key, ValuesOf, Voice } from '../../catalogue/index.ts';
import { world } from './world.ts';

/** How the run that asks speaks: in the language that was chosen, by the habits of the map once one is read. */
export const voice = (): Voice => world().voice;

export const say = <K extends Key>(key: K, ...values: ValuesOf<K>): string => voice().say(key, ...values);
