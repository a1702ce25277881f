import type { Signal } from '@preact/signals';
import type { FlatYard } from '../../../drawing/index.ts';
import { type Flat, flatOf } from '../../../drawing/index.ts';
import { say } from './voice.ts';
import { yard } from './yard.ts';

/** A device farther from the yard than this is not in it, in metres. */
const FARTHEST_OFF_M = 1_000;
/** Beyond this a flat map tells distances no more. */
const FARTHEST_TOLD_M = 100_000;
/** A place that is not known better than this says nothing about a walk, in metres. */
const ROUGHEST_M = 100;
const TIMEOUT_MS = 15_000;

/** Asks the device where it is, which stays on the device: a place in the yard or near it, or one sentence that says why not. */
export function askDevice(
  isAsking: Signal<boolean>,
  { found, failed }: { found(coords: GeolocationCoordinates): void; failed(sentence: string): void },
): void {
  if (!isSecureContext || !navigator.geolocation) {
    failed(say('state.place-needs-https'));
    return;
  }
  isAsking.value = true;
  navigator.geolocation.getCurrentPosition(
    ({ coords }) => {
      isAsking.value = false;
      const trouble = yard.value && placeTrouble(yard.value.flat, coords);
      if (trouble) failed(trouble);
      else found(coords);
    },
    ({ code, PERMISSION_DENIED }) => {
      isAsking.value = false;
      failed(code === PERMISSION_DENIED ? say('state.place-not-allowed') : say('state.place-not-told'));
    },
    { enableHighAccuracy: true, timeout: TIMEOUT_MS },
  );
}

/** What is wrong with a place that a device tells, in one sentence; null where it is in the yard, or near it. */
export function placeTrouble(
  { bounds, middle, metresPerUnit }: Pick<FlatYard, 'bounds' | 'middle' | 'metresPerUnit'>,
  { longitude, latitude, accuracy }: Pick<GeolocationCoordinates, 'longitude' | 'latitude' | 'accuracy'>,
): string | null {
  const [x, y] = flatOf([longitude, latitude]);
  const off: Flat = [
    beyond(x - middle[0], bounds.left, bounds.right) * metresPerUnit,
    beyond(y - middle[1], bounds.top, bounds.bottom) * metresPerUnit,
  ];
  const metres = Math.hypot(...off);
  if (metres > FARTHEST_TOLD_M) return say('state.place-very-far', { km: FARTHEST_TOLD_M / 1000 });
  if (metres > FARTHEST_OFF_M) return say('state.place-far', { km: kilometres(metres) });
  if (accuracy > ROUGHEST_M) return say('state.place-rough', { km: kilometres(accuracy) });
  return null;
}

const beyond = (value: number, low: number, high: number) => Math.max(0, low - value, value - high);
const kilometres = (metres: number) => ({ number: metres / 1000, digits: metres < 10_000 ? 1 : 0 });
