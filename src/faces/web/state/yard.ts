import { computed, signal } from '@preact/signals';
import { drawFlat, type FlatYard } from '../../../drawing/index.ts';
import type { Problem } from '../../../site-map/index.ts';
import type { Units } from '../../../units/index.ts';
import { siteMark } from '../../../words/index.ts';
import type { Yard } from '../compute/protocol.ts';
import { unitsChoice } from './choices.ts';

/** The yards that come with the program. All are invented. */
export const DEMO_YARDS = ['freight-depot', 'two-bay-garage', 'gravel-haul-yard'] as const;
export type DemoYard = (typeof DEMO_YARDS)[number];

export interface OpenYard extends Yard {
  /** The demo yard it is; null for a file of the user's own. */
  demo: DemoYard | null;
  fileName: string;
  /** The map file as it was read, for whoever computes with it. */
  mapText: string;
  /** The first twelve hex digits of the SHA-256 of the map file; null where the browser does not compute it. */
  version: string | null;
  /** The yard laid flat for drawing. */
  flat: FlatYard;
}

/** The yard on screen; null until the first one has been read. */
export const yard = signal<OpenYard | null>(null);

/** Something to tell about a file or a fault; the yard on screen stays as it is. */
export interface Notice {
  title: string;
  rest: string;
  problems: readonly Problem[];
}
export const notice = signal<Notice | null>(null);
export const closeNotice = (): void => {
  notice.value = null;
};

export function showYard(opened: Yard, from: Pick<OpenYard, 'demo' | 'fileName' | 'mapText' | 'version'>): void {
  yard.value = { ...opened, ...from, flat: drawFlat(opened.map) };
}

/** Which yard it is, whatever its file is called by now: what is kept of it stands under this, and addresses name it so. */
export const yardMark = computed(() => (yard.value ? markOf(yard.value) : ''));
export const markOf = ({ map, fileName }: Pick<OpenYard, 'map' | 'fileName'>): string =>
  siteMark(map.site.name ?? fileName);
/** Whether a word of an address means the yard that is open. */
export const isThisYard = (word: string): boolean => word === yardMark.value || word === yard.value?.demo;

export const units = computed<Units>(() => unitsChoice.value.value ?? yard.value?.map.site.units ?? 'si');
export const currency = computed(() => yard.value?.map.site.currency ?? 'USD');
export const yardName = computed(() => yard.value?.map.site.name ?? yard.value?.fileName ?? '');

/** Name of every zone, structure, kit and spot by id; an id stands for itself where there is no name. */
const names = computed(() => {
  const { zones, structures, others } = yard.value?.map ?? { zones: [], structures: [], others: [] };
  const otherName = ({ id, properties }: (typeof others)[number]) =>
    'name' in properties && typeof properties.name === 'string' ? properties.name : id;
  return new Map([
    ...others.map((other): [string, string] => [other.id, otherName(other)]),
    ...[...zones, ...structures].map((at): [string, string] => [at.id, at.name]),
  ]);
});
export const nameOf = (id: string): string => names.value.get(id) ?? id;

/** Zones with a way to an outfall past no separator. */
export const unprotected = computed(() => new Set(yard.value?.report.unprotected ?? []));
