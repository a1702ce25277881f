import { batch, signal } from '@preact/signals';
import type { Told } from '../../../catalogue/index.ts';
import type { Action, Entry, EntryOf, SealedEntry } from '../../../log-book/index.ts';
import { structureOf, zoneOf } from './picked.ts';
import { endStep } from './steps.ts';
import { beginFrom, beginVisit, draft } from './visit-draft.ts';
import { yard } from './yard.ts';

export type ShownEntry = Entry & Partial<SealedEntry>;

/** What is open over the map; null while nothing is. Entries are told by their ids: they may not have been read yet. */
export type LogView =
  | 'list'
  | 'visit'
  | 'work'
  | 'account'
  | 'settings'
  | { done: DoneBegun }
  | { close: string }
  | { correct: string };

/** What the form for something done starts with. */
export interface DoneBegun {
  action?: Action;
  at?: string;
}

/** What is open, as addresses and the values of its form have it: "done/pump-out/SEP-1". */
export function wordOf(view: LogView): string {
  if (view === 'visit') return [view, draft.value?.at].filter(Boolean).join('/');
  if (typeof view === 'string') return view;
  if ('done' in view) return ['done', view.done.action, view.done.at].filter(Boolean).join('/');
  return 'close' in view ? `close/${view.close}` : `correct/${view.correct}`;
}

/** Opens what a word of an address names; null closes what is open. False where it names nothing that can be opened. */
export async function openWord(word: string | null): Promise<boolean> {
  const [kind = '', ...rest] = word?.split('/') ?? [];
  const of = rest.join('/');
  if (kind === 'visit') await logVisit(of || undefined);
  else if (kind === 'done') openLog({ done: begunIn(rest) });
  else if (kind === 'close' || kind === 'correct') openLog(kind === 'close' ? { close: of } : { correct: of });
  else if (word === null) closeLog();
  else {
    const view = PLAIN.find((each) => each === word);
    if (!view) return false;
    openLog(view);
  }
  return true;
}
/** What can be written down as done. */
export const ACTIONS = [
  'pump-out',
  'packs-changed',
  'debris-removed',
  'swept',
  'kit-checked',
  'placed',
  'training',
  'drill',
] as const satisfies readonly Action[];
const PLAIN = ['list', 'work', 'account', 'settings'] as const;

function begunIn([first = '', ...rest]: readonly string[]): DoneBegun {
  const action = ACTIONS.find((each) => each === first);
  const at = (action ? rest : [first, ...rest]).join('/');
  return { ...(action ? { action } : {}), ...(at === '' ? {} : { at }) };
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
  const known = at !== undefined && (structureOf(at) ?? zoneOf(at)) ? at : undefined;
  const place = known ?? (structures.find(({ kind }) => kind === 'separator') ?? structures[0])?.id;
  if (place === undefined) return;
  await beginVisit(place);
  openLog('visit');
}

/** Opens the visit form with what an entry says, to be mended and kept as a new one. */
export function logVisitAgain(entry: EntryOf<'visit'>): void {
  beginFrom(entry);
  openLog('visit');
}

/** Back to the list, with what was done in words. The form is done with, and going back does not open it again. */
export function showKept(words: Told): void {
  endStep();
  batch(() => {
    logView.value = 'list';
    justKept.value = words;
  });
}
