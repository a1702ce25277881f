import { computed, signal } from '@preact/signals';
import type { Replies } from '../compute/protocol.ts';
import { forgetSpill } from './spill.ts';
import { yard } from './yard.ts';

/** The questions that can be asked, in the order of their buttons. */
export const QUESTIONS = ['from', 'block', 'kits', 'full'] as const;
export type Question = (typeof QUESTIONS)[number];
export const question = signal<Question>('from');
export const ask = (asked: Question): void => {
  question.value = asked;
};

/** What is picked, on the map and in the lists alike; null when nothing is. */
export const pickedId = signal<string | null>(null);

/** What the worker says of a spill: where it goes, and where to block it. */
export type BlockShown = Replies['block'] & {
  /** The zone whose ground it is on; empty outside every zone. */
  zone: string;
  /** When it was asked, by the device's clock in ms: minutes in it count from then. */
  askedAt: number;
  /** The question it answers. */
  asked: string;
};
/** The last answer about the spill; null until there is one. */
export const block = signal<BlockShown | null>(null);

/** What drains to what is picked, and what it drains to; null where nothing that drains is picked, or until it is known. */
export const knownWays = signal<Replies['ways']>(null);
export const ways = computed(() => (knownWays.value?.id === pickedId.value ? knownWays.value : null));

const zones = computed(() => new Map(yard.value?.map.zones.map((zone) => [zone.id, zone]) ?? []));
export const zoneOf = (id: string) => zones.value.get(id);
const structures = computed(() => new Map(yard.value?.map.structures.map((each) => [each.id, each]) ?? []));
export const structureOf = (id: string) => structures.value.get(id);
export const kindOf = (id: string) => structureOf(id)?.kind;

const ids = computed(() => {
  const { zones, structures, links, others } = yard.value?.map ?? { zones: [], structures: [], links: [], others: [] };
  return new Set([...zones, ...structures, ...links, ...others].map(({ id }) => id));
});
export const isOnMap = (id: string): boolean => ids.value.has(id);

/** Picks a feature by its id; the same one again lets it go. */
export function pick(id: string): void {
  pickedId.value = pickedId.value === id ? null : id;
}

/** Picks nothing. */
export function clearPick(): void {
  pickedId.value = null;
}

/** Forgets all that was picked, as for a yard that has just been opened. */
export function forgetPicks(): void {
  clearPick();
  knownWays.value = null;
  forgetSpill();
  block.value = null;
}

/** Whether the way of a spill is drawn: on the question that is about it. */
export const isPathShown = computed(() => question.value === 'block');
