import { type Key, told, type Voice } from '../../../catalogue/index.ts';
import { photoType, withoutPlace } from '../../../log-book/index.ts';
import { type Problem, problem } from '../../../site-map/index.ts';
import { sha256 } from '../../../store/index.ts';

/** A photo as a report shows it. */
export interface ShownPhoto {
  /** SHA-256 of the photo as it is kept. */
  name: string;
  /** The picture as a data: address, with the place where it was taken left out. */
  address: string;
}

/** Why a photo cannot be shown. */
export type PhotoTrouble = Extract<Key, `report.photo-cannot-${string}`>;

/** The reasons why photos cannot be shown, each once. */
export const troubleWords = (troubles: readonly PhotoTrouble[], voice: Voice): string =>
  [...new Set(troubles)].map((trouble) => voice.say(trouble)).join('; ');

/** The photos of one entry: those that can be shown, and how many cannot, by reason. */
export interface EntryPhotos {
  shown: ShownPhoto[];
  leftOut: PhotoTrouble[];
}

/** Photos for a report, and all that is wrong with those that it asked for. */
export interface PhotoReader {
  /** The first photos of an entry, up to a limit. */
  read(entryId: string, names: readonly string[], most: number): EntryPhotos;
  problems: Problem[];
}

/** All photos in a report take no more than this together, so that a browser can still print it. */
const MOST_BYTES = 96 * 2 ** 20;

/** Reads photos through `bytesOf`, null where there is none of that name, until together they are as much as a page can hold. */
export function photoReader(bytesOf: (name: string) => Uint8Array | null): PhotoReader {
  const problems: Problem[] = [];
  let room = MOST_BYTES;
  const shown = (entryId: string, name: string): ShownPhoto | PhotoTrouble => {
    const bytes = bytesOf(name);
    const wrong = photoProblem(entryId, name, bytes);
    if (wrong) problems.push(wrong);
    if (wrong || bytes === null) return 'report.photo-cannot-trust';
    const type = photoType(bytes);
    // Browsers do not show this one.
    if (type === 'image/heic') return 'report.photo-cannot-print';
    const picture = withoutPlace(bytes);
    if (picture === null) return 'report.photo-cannot-lose-place';
    if (picture.length > room) return 'report.photo-cannot-fit';
    room -= picture.length;
    return { name, address: `data:${type};base64,${Buffer.from(picture).toString('base64')}` };
  };
  return {
    problems,
    read(entryId, names, most) {
      const photos: EntryPhotos = { shown: [], leftOut: [] };
      for (const name of names.slice(0, most)) {
        const photo = shown(entryId, name);
        if (typeof photo === 'string') photos.leftOut.push(photo);
        else photos.shown.push(photo);
      }
      return photos;
    },
  };
}

function photoProblem(id: string, name: string, bytes: Uint8Array | null): Problem | null {
  const place = { id, field: 'photos' };
  const cure = told('report.photo-restore');
  if (bytes === null) return problem('photo-missing', place, { message: told('report.photo-gone', { name }), cure });
  if (sha256(bytes) === name) return null;
  return problem('photo-changed', place, { message: told('report.photo-changed', { name }), cure });
}
