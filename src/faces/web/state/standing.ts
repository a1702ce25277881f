import { signal } from '@preact/signals';
import type { Position } from '../../../site-map/index.ts';
import { askDevice } from './device-place.ts';

/** Where the person with this device stands: at a place of the map, or where the device says it is; null when not told. */
export const standing = signal<string | Position | null>(null);
/** Why the device could not tell where it is; null when there is nothing to tell. */
export const noPlace = signal<string | null>(null);
/** Whether the device has been asked and has not answered yet. */
export const isLocating = signal(false);

/** Says where one stands. */
export function standAt(place: string | Position | null): void {
  standing.value = place;
  noPlace.value = null;
}

/** Stands where the device says it is. */
export function standWhereDeviceIs(): void {
  askDevice(isLocating, {
    found: ({ longitude, latitude }) => standAt([longitude, latitude]),
    failed: (sentence) => {
      noPlace.value = sentence;
    },
  });
}
