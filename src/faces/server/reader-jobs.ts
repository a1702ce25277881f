import type { Language } from '../../catalogue/index.ts';
import {
  entriesInForce,
  keptSealedEntry,
  type MapId,
  mapIdSchema,
  ofKind,
  photoType,
  type SealedEntry,
  withoutPlace,
} from '../../log-book/index.ts';
import { hasErrors, type Problem, readSiteMap } from '../../site-map/index.ts';
import { photosIn, sha256 } from '../../store/index.ts';
import { siteWord } from '../../words/index.ts';
import { calendarText } from './calendar-text.ts';
import { voiceIn } from './voices.ts';

/** The work that is done off the server's main thread: what is asked, and what it comes to. */
export interface Jobs {
  hash: { ask: Uint8Array; answer: string };
  /** Keeps bytes under their SHA-256 in a folder; comes back with that once they are on the disk. */
  keep: { ask: { folder: string; bytes: Uint8Array }; answer: string };
  /** The same for a map, with the word of its site; unless it has errors: then these. */
  keepMap: {
    ask: { folder: string; bytes: Uint8Array };
    answer: { sha256: MapId; site: string } | { problems: Problem[] };
  };
  /** A photo as it may be seen, `bytes` null where its place cannot be taken out; null where it is not kept. */
  seePhoto: { ask: { folder: string; name: string }; answer: { type: string; bytes: Uint8Array | null } | null };
  /** The calendar of a site, from the texts of its entries, in a language or else in the site's; null where one cannot be read. */
  calendar: {
    ask: { site: string; texts: readonly string[]; mapsFolder: string; language?: Language };
    answer: MadeCalendar | null;
  };
}

export interface MadeCalendar {
  text: string;
  /** The hash of the last entry; null where there is none. */
  hash: string | null;
  /** The map that the last map entry names, empty where none does, and whether its file was here. */
  mapName: string;
  isMapKept: boolean;
}

export type Job = keyof Jobs;
export type Ask<J extends Job> = Jobs[J]['ask'];
export type Answer<J extends Job> = Jobs[J]['answer'];

export const DO: { [J in Job]: (ask: Ask<J>) => Answer<J> } = {
  hash: sha256,
  keep: ({ folder, bytes }) => photosIn(folder).save(bytes),
  keepMap({ folder, bytes }) {
    const { map, problems } = readMap(bytes);
    if (hasErrors(problems)) return { problems: problems.filter(({ severity }) => severity === 'error') };
    return { sha256: mapIdSchema.parse(photosIn(folder).save(bytes)), site: siteWord(map.site.name ?? '') };
  },
  seePhoto({ folder, name }) {
    const bytes = photosIn(folder).read(name);
    const type = bytes && photoType(bytes);
    return type ? { type, bytes: withoutPlace(bytes) } : null;
  },
  calendar({ site, texts, mapsFolder, language: asked }) {
    const entries = entriesOf(texts);
    if (entries === null) return null;
    const mapName = ofKind(entriesInForce(entries), 'map').at(-1)?.body.sha256 ?? '';
    const file = photosIn(mapsFolder).read(mapName);
    const reading = file && readMap(file);
    const map = reading && !hasErrors(reading.problems) ? reading.map : undefined;
    const voice = voiceIn(asked ?? map?.site.language ?? 'en', map?.site);
    const text = calendarText(site, entries, map, voice);
    return { text, hash: entries.at(-1)?.hash ?? null, mapName, isMapKept: file !== null };
  },
};

const readMap = (bytes: Uint8Array) => readSiteMap(new TextDecoder().decode(bytes));

function entriesOf(texts: readonly string[]): SealedEntry[] | null {
  try {
    const entries = texts.map((text) => keptSealedEntry(JSON.parse(text)));
    return entries.every((entry) => entry !== null) ? entries : null;
  } catch {
    return null;
  }
}
