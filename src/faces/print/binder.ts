import type { Voice } from '../../catalogue/index.ts';
import { drawFlat, type FlatYard } from '../../drawing/index.ts';
import type { SiteMap } from '../../site-map/index.ts';

export type Paper = 'a4' | 'letter';

/** What the cards are made from, and for whom they are printed. */
export interface Printing {
  map: Omit<SiteMap, 'file'>;
  /** The language, the units and the money of the cards. */
  voice: Voice;
  siteName: string;
  /** The day on which they are made, YYYY-MM-DD. */
  day: string;
  /** The first 12 hex digits of the map file's SHA-256. */
  mapVersion: string;
  /** Address of the live app that others can reach; null where there is none to print. */
  link: string | null;
  paper: Paper;
}

/** What is the same on every card of a yard. */
export interface Binder extends Printing {
  flat: FlatYard;
  /** The name of a zone, structure, kit or post; its id where it has none. */
  plainNameOf(id: string): string;
  /** Name and id, "Fuel island (Z1)"; the id alone where it has no name. */
  nameOf(id: string): string;
}

/** Lays the yard flat and looks up its names, once for all cards. */
export function makeBinder(printing: Printing): Binder {
  const { map } = printing;
  const names = new Map<string, string>([...map.zones, ...map.structures].map(({ id, name }) => [id, name]));
  for (const { id, properties } of map.others) if (typeof properties.name === 'string') names.set(id, properties.name);
  const plainNameOf = (id: string) => shortened(names.get(id) ?? id);
  const nameOf = (id: string) => ((names.get(id) ?? id) === id ? plainNameOf(id) : `${plainNameOf(id)} (${id})`);
  return { ...printing, flat: drawFlat(map), plainNameOf, nameOf };
}

const MOST_LETTERS = 34;

/** A text that takes no more room than a card can give it. */
export function shortened(text: string, most = MOST_LETTERS): string {
  const letters = [...text];
  return letters.length <= most
    ? text
    : `${letters
        .slice(0, most - 1)
        .join('')
        .trimEnd()}…`;
}
