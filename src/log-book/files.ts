import type { Entry } from './entry.ts';

/** Bytes of the largest map that is taken in. */
export const LARGEST_MAP = 20 * 2 ** 20;

/** A file that an entry names by the SHA-256 of its bytes. */
export interface NamedFile {
  kind: 'photo' | 'map';
  name: string;
  /** Where the entry names it. */
  field: string;
}

/** The photos and the map that an entry names, in its order. */
export function filesNamed(entry: Entry): NamedFile[] {
  const { photos = [] } = entry;
  const named: NamedFile[] = photos.map((name, at) => ({ kind: 'photo', name, field: `photos[${at}]` }));
  if (entry.kind === 'map') named.push({ kind: 'map', name: entry.body.sha256, field: 'body.sha256' });
  return named;
}
