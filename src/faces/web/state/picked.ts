import { computed, signal } from '@preact/signals';
import type { Fluid } from '../../../site-map/index.ts';
import type { Replies } from '../compute/protocol.ts';
import { sources } from './finding.ts';
import { yard } from './yard.ts';

/** The two questions that can be asked so far. */
export type Question = 'from' | 'block';
export const question = signal<Question>('from');
export const ask = (asked: Question): void => {
  question.value = asked;
};

/** What is picked, on the map and in the lists alike; null when nothing is. */
export const pickedId = signal<string | null>(null);

/** The zone that was picked last; null lets the likeliest one stand in. */
const chosenZone = signal<string | null>(null);
/** The fluid that is spilled; undefined when that is not known. */
export const fluid = signal<Fluid | undefined>(undefined);
/** Where to block a spill on `spillZone`, with the way its oil would take; null until it is known. */
export const block = signal<(Replies['block'] & { zone: string }) | null>(null);

const zones = computed(() => new Map(yard.value?.map.zones.map((zone) => [zone.id, zone]) ?? []));
export const zoneOf = (id: string) => zones.value.get(id);
const structures = computed(() => new Map(yard.value?.map.structures.map((each) => [each.id, each]) ?? []));
export const structureOf = (id: string) => structures.value.get(id);

/** The zone a spill is taken to be on: the one picked last, else the likeliest, else the first. */
export const spillZone = computed(
  () => chosenZone.value ?? sources.value?.zones[0]?.id ?? yard.value?.map.zones[0]?.id ?? null,
);

/** Picks a feature by its id; the same one again lets it go. A zone also becomes the one to ask about blocking. */
export function pick(id: string): void {
  pickedId.value = pickedId.value === id ? null : id;
  if (zones.value.has(id)) chooseSpillZone(id);
}

/** Sets where a spill would be, and starts from the fluid most likely there. */
export function chooseSpillZone(id: string): void {
  if (chosenZone.value !== id) fluid.value = zoneOf(id)?.properties.fluids?.[0]?.fluid;
  chosenZone.value = id;
}

/** Picks nothing. */
export function letGo(): void {
  pickedId.value = null;
}

/** Forgets all that was picked, as for a yard that has just been opened. */
export function forgetPicks(): void {
  letGo();
  chosenZone.value = null;
  fluid.value = undefined;
  block.value = null;
}

/** Whether the way of a spill is drawn: on the question of blocking, and for a zone that is picked. */
export const isPathShown = computed(
  () => question.value === 'block' || (pickedId.value !== null && pickedId.value === spillZone.value),
);
