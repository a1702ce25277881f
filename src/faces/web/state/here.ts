import { signal } from '@preact/signals';
import { askDevice } from './device-place.ts';
import { choosePlace } from './spill.ts';
import { say } from './voice.ts';

/** What came of asking the device where it is: nothing yet, still asking, or one sentence. */
export const hereWords = signal<string | null>(null);
export const isAsking = signal(false);

/** Puts the spill where this device is. */
export function spillHere(): void {
  hereWords.value = null;
  askDevice(isAsking, {
    found: ({ longitude, latitude, accuracy }) => {
      choosePlace({ point: [longitude, latitude] });
      hereWords.value = say('state.place-within', { distance: { metres: Math.max(1, accuracy) } });
    },
    failed: (sentence) => {
      hereWords.value = say('state.place-tap-instead', { why: sentence });
    },
  });
}
