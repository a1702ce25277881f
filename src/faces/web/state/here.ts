import { signal } from '@preact/signals';
import { choosePlace } from './spill.ts';
import { placeTrouble } from './standing.ts';
import { yard } from './yard.ts';

/** What came of asking the device where it is: nothing yet, still asking, or one sentence. */
export const hereWords = signal<string | null>(null);
export const isAsking = signal(false);

const PATIENCE_MS = 15_000;
const TAP = 'Tap the place on the map instead.';

/** Puts the spill where this device is. The place stays on the device. */
export function spillHere(): void {
  if (!isSecureContext || !navigator.geolocation) {
    hereWords.value = `This browser tells no place on this address: that takes https. ${TAP}`;
    return;
  }
  isAsking.value = true;
  hereWords.value = null;
  navigator.geolocation.getCurrentPosition(
    ({ coords }) => {
      isAsking.value = false;
      const trouble = yard.value && placeTrouble(yard.value.flat, coords);
      if (trouble) hereWords.value = `${trouble} ${TAP}`;
      else {
        choosePlace({ point: [coords.longitude, coords.latitude] });
        hereWords.value = `Within about ${Math.max(1, Math.round(coords.accuracy))} m. See on the map that it is right.`;
      }
    },
    ({ code, PERMISSION_DENIED }) => {
      isAsking.value = false;
      hereWords.value = `${code === PERMISSION_DENIED ? 'This browser was not allowed to tell where it is.' : 'This device could not tell where it is.'} ${TAP}`;
    },
    { enableHighAccuracy: true, timeout: PATIENCE_MS },
  );
}
