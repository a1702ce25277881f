import { signal } from '@preact/signals';
import { askDevice } from './device-place.ts';
import { choosePlace } from './spill.ts';

/** What came of asking the device where it is: nothing yet, still asking, or one sentence. */
export const hereWords = signal<string | null>(null);
export const isAsking = signal(false);

/** Puts the spill where this device is. */
export function spillHere(): void {
  hereWords.value = null;
  askDevice(isAsking, {
    found: ({ longitude, latitude, accuracy }) => {
      choosePlace({ point: [longitude, latitude] });
      hereWords.value = `Within about ${Math.max(1, Math.round(accuracy))} m. See on the map that it is right.`;
    },
    failed: (sentence) => {
      hereWords.value = `${sentence} Tap the place on the map instead.`;
    },
  });
}
