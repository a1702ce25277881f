import { signal } from '@preact/signals';
import type { Position } from '../../../site-map/index.ts';
import { askDevice } from './device-place.ts';

/** Where the person with this device stands: at a place of the map, or where the device says it is; null when not told. */
export const walkerPlace = signal<string | Position | null>(null);
/** Why the device could not tell where it is; null when there is nothing to tell. */
export const noDevicePlace = signal<string | null>(null);
/** Whether the device has been asked and has not answered yet. */
export const isLocating = signal(false);

/** Says where one stands. */
export function setWalkerPlace(place: string | Position | null): void {
  walkerPlace.value = place;
  noDevicePlace.value = null;
}

/** Stands where the device says it is. */
export function walkFromDevice(): void {
  askDevice(isLocating, {
    found: ({ longitude, latitude }) => setWalkerPlace([longitude, latitude]),
    failed: (sentence) => {
      noDevicePlace.value = sentence;
    },
  });
}
