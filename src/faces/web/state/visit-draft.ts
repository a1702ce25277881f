import { computed, effect, signal, untracked } from '@preact/signals';

import { type Told, told } from '../../../catalogue/index.ts';
import { type EntryOf, entriesInForce, ofKind } from '../../../log-book/index.ts';

import { planAreaOf } from '../../../site-map/index.ts';
import type { Seen } from '../../../sources/index.ts';
import type { Condition } from '../../../upkeep/index.ts';
import { keepWord, keptWord, valueIn } from './device-words.ts';
import { keepPhotos, keptPhotos } from './form-values.ts';
import { entries } from './log-book.ts';
import { write } from './outbox.ts';
import { structureOf, zoneOf } from './picked.ts';
import { fetchForms } from './replies.ts';
import { msOfSite, siteTime } from './site-time.ts';
import { endStep } from './steps.ts';
import { yard, yardMark } from './yard.ts';

/** What is looked at besides depths. */
export type Check = 'packs' | 'sorbent' | 'packsRide' | 'debris' | 'plates' | 'concrete' | 'sheenAtOutlet';

/** A visit that is being written. What is undefined was not looked at yet. */
export interface VisitDraft {
  at: string;
  /** As the field for date and time has it, by the yard's clock: when it was begun, until another time is written. */
  when: string;
  /** When it was last emptied, YYYY-MM-DD; empty where that is not known, or in the log book. */
  since: string;
  seen?: Seen;
  condition: Pick<Condition, Check | 'sludgeMm'>;
  /** Oil by chamber, mm; undefined where it was not read. */
  chambers: { name: string; areaM2: number | undefined; oilMm: number | undefined }[];
  note: string;
  photos: Blob[];
}

/** As this device keeps it; photos stand apart. */
export type KeptDraft = Omit<VisitDraft, 'photos'>;

/** The visit that is being written; null while there is none. */
export const draft = signal<VisitDraft | null>(null);
/** Whether the draft was found on this device, as a reload left it. */
export const isDraftRestored = signal(false);

/** Changes the draft; it is kept on this device with every change. */
export function change(part: Partial<VisitDraft>): void {
  if (draft.value) draft.value = { ...draft.value, ...part };
}
export const changeCondition = (part: VisitDraft['condition']): void => {
  if (draft.value) change({ condition: { ...draft.value.condition, ...part } });
};

const emptyDraft = (at: string): VisitDraft => ({
  at,
  when: siteTime(Date.now()),
  since: '',
  condition: {},
  chambers: [{ name: '', areaM2: planAreaOf(structureOf(at)) ?? undefined, oilMm: undefined }],
  note: '',
  photos: [],
});

/** Takes up the draft of this yard that is on the device, or begins one at a place. */
export async function beginVisit(at: string): Promise<void> {
  const open = yard.value;
  const kept = draft.value ?? (await keptDraft());
  if (yard.value !== open) return;
  const ofThisMap = kept && (structureOf(kept.at) ?? zoneOf(kept.at)) && isBegun(kept) ? kept : null;
  isDraftRestored.value = ofThisMap !== null;
  draft.value = ofThisMap ?? emptyDraft(at);
}

async function keptDraft(): Promise<VisitDraft | null> {
  const kept = valueIn(keptWord(wordOf()));
  if (kept === undefined) return null;
  const [forms, photos] = await Promise.all([fetchForms(), keptPhotos(PHOTOS)]);
  const visit = forms?.draftOf(kept);
  return visit ? { ...visit, photos } : null;
}

/** Whether anything was filled in: a form that was only looked at begins anew. */
function isBegun({ when: _, ...visit }: VisitDraft): boolean {
  const { when: __, ...empty } = emptyDraft(visit.at);
  return visit.photos.length > 0 || JSON.stringify(visit) !== JSON.stringify(empty);
}

/** Begins a visit with what an entry of the log book says. Its photos stay with that entry. */
export function beginFrom({ at: time, body }: EntryOf<'visit'>): void {
  const { at = '', since = '', seen, note = '' } = body;
  const empty = emptyDraft(at);
  const { chambers, ...condition } = body.condition ?? {};
  isDraftRestored.value = false;
  draft.value = {
    ...empty,
    when: siteTime(msOfSite(time)),
    since: since.slice(0, 10),
    ...(seen === undefined ? {} : { seen }),
    condition,
    chambers: chambers?.map(({ name = '', oilMm, areaM2 }) => ({ name, oilMm, areaM2 })) ?? empty.chambers,
    note,
  };
}

/** Begins again with nothing filled in. */
export function discardDraft(): void {
  isDraftRestored.value = false;
  if (draft.value) draft.value = emptyDraft(draft.value.at);
}

/** Another place: what was seen in the one before was not seen there. */
export function moveTo(at: string): void {
  endStep();
  const { chambers, condition, since } = emptyDraft(at);
  change({ at, seen: undefined, chambers, condition, since });
}

/** So many chambers of like size; what was read stays with its chamber. */
export function setChamberCount(count: number): void {
  const { at = '', chambers = [] } = draft.value ?? {};
  const whole = planAreaOf(structureOf(at)) ?? undefined;
  change({
    chambers: Array.from({ length: count }, (_, place) => ({
      name: '',
      areaM2: whole === undefined ? chambers[place]?.areaM2 : whole / count,
      oilMm: chambers[place]?.oilMm,
    })),
  });
}

/** The chambers that were read, as an entry has them; undefined where none was, or where one has no size. */
export const chambersRead = computed((): Condition['chambers'] => {
  const read = (draft.value?.chambers ?? []).filter(({ oilMm }) => oilMm !== undefined);
  const isSound = read.every(({ oilMm, areaM2 }) => Number.isFinite(oilMm) && Number.isFinite(areaM2));
  if (read.length === 0 || !isSound) return undefined;
  return read.map(({ name, areaM2 = 0, oilMm = 0 }) => ({ ...(name === '' ? {} : { name }), oilMm, areaM2 }));
});

export const draftCondition = computed(
  (): Condition => ({
    ...draft.value?.condition,
    ...(chambersRead.value ? { chambers: chambersRead.value } : {}),
  }),
);

/** Whether the log book knows when this separator was pumped out last. */
export const isEmptyingKnown = computed(() =>
  ofKind(entriesInForce(entries.value), 'action').some(
    ({ body }) => body.action === 'pump-out' && body.at === draft.value?.at,
  ),
);

/** Why the draft cannot be kept yet; null when it can. */
export function draftTrouble(visit: VisitDraft, by: string, now: number): Told | null {
  const isSeparator = structureOf(visit.at)?.kind === 'separator';
  const atMs = msOfSite(visit.when);
  const { sludgeMm } = visit.condition;
  if ([sludgeMm, ...visit.chambers.flatMap(({ oilMm, areaM2 }) => [oilMm, areaM2])].some(Number.isNaN))
    return told('log-screen.mend-number');
  if (Number.isNaN(atMs)) return told('log-screen.write-visit-time');
  if (atMs > now + 60_000) return told('log-screen.visit-in-future');
  if (visit.since !== '' && msOfSite(visit.since) >= atMs) return told('log-screen.pumped-after-visit');
  if (
    isSeparator &&
    visit.chambers.some(({ oilMm }) => oilMm !== undefined) &&
    visit.chambers.some(({ oilMm }) => oilMm === undefined)
  )
    return told('log-screen.dip-all');
  if (isSeparator && visit.chambers.some(({ oilMm, areaM2 }) => oilMm !== undefined && areaM2 === undefined))
    return told('log-screen.write-size');
  const isNothingSaid =
    Object.values(draftCondition.value).every((value) => value === undefined) &&
    visit.seen === undefined &&
    visit.note.trim() === '' &&
    visit.photos.length === 0;
  if (isNothingSaid) return told('log-screen.write-what-seen');
  return by.trim() === '' ? told('log-screen.write-name') : null;
}

/** Keeps the visit as an entry, and ends the draft. False where this device has no room for it: then the draft stays. */
export async function keepVisit(by: string): Promise<boolean> {
  const [visit, open] = [draft.value, yard.value];
  if (!visit || !open) return false;
  const { at, since, seen, note, photos } = visit;
  const condition = Object.fromEntries(Object.entries(draftCondition.value).filter(([, value]) => value !== undefined));
  const body = {
    at,
    ...(since === '' ? {} : { since }),
    ...(seen === undefined || condition.chambers ? {} : { seen }),
    ...(Object.keys(condition).length > 0 ? { condition } : {}),
    ...(note.trim() === '' ? {} : { note: note.trim() }),
  };
  const { isSafe } = await write(open, { kind: 'visit', body, by, atMs: msOfSite(visit.when) }, photos);
  if (isSafe) draft.value = null;
  return isSafe;
}

const wordOf = () => `visit ${yardMark.value}`;
const PHOTOS = 'visit';
/** A number that is marked is none, and is not kept. */
const withoutWrong = (_: string, value: unknown) => (Number.isNaN(value) ? undefined : value);

/** Keeps the draft on this device through a reload, for as long as the page lives. */
export function keepDraft(): void {
  let photosKept: readonly Blob[] | undefined;
  let isBegun = false;
  effect(() => {
    const visit = draft.value;
    if (!visit && !isBegun) return;
    isBegun = visit !== null;
    const { photos = [], ...kept } = visit ?? {};
    untracked(() => {
      keepWord(wordOf(), visit && JSON.stringify(kept, withoutWrong));
      if (photos !== photosKept) void keepPhotos(PHOTOS, photos);
      photosKept = photos;
    });
  });
  effect(() => {
    if (yard.value) {
      // A draft is of one map; that of the map before waits on the device.
      isBegun = false;
      draft.value = null;
    }
  });
}
