import { batch, signal } from '@preact/signals';
import type { Told } from '../../../catalogue/index.ts';
import type { Action, DueWork, Entry, EntryOf, SealedEntry } from '../../../log-book/index.ts';
import { beginFrom, beginVisit } from './visit-draft.ts';
import { yard } from './yard.ts';

export type ShownEntry = Entry & Partial<SealedEntry>;

/** What of the log book is open over the map; null while it is closed. */
export type LogView =
  | 'list'
  | 'visit'
  | 'work'
  | 'account'
  | { done: DoneBegun }
  | { close: DueWork }
  | { correct: ShownEntry };

/** What the form for something done starts with. */
export interface DoneBegun {
  action?: Action;
  at?: string;
}
export const logView = signal<LogView | null>(null);
/** What is said of what was just kept; null where nothing was. */
export const justKept = signal<Told | null>(null);

export function openLog(view: LogView): void {
  batch(() => {
    justKept.value = null;
    logView.value = view;
  });
}

export const closeLog = (): void => {
  logView.value = null;
};

/** Opens the visit form at a separator, else at the first structure. */
export async function logVisit(at: string | undefined): Promise<void> {
  const structures = yard.value?.map.structures ?? [];
  const place = at ?? (structures.find(({ kind }) => kind === 'separator') ?? structures[0])?.id;
  if (place === undefined) return;
  await beginVisit(place);
  openLog('visit');
}

/** Opens the visit form with what an entry says, to be mended and kept as a new one. */
export function logVisitAgain(entry: EntryOf<'visit'>): void {
  beginFrom(entry);
  openLog('visit');
}

/** Back to the list, with what is said of what was done. */
export function showKept(words: Told): void {
  batch(() => {
    logView.value = 'list';
    justKept.value = words;
  });
}
