import { effect, signal } from '@preact/signals';

const KEPT_AS = 'oilshed-sunlight';

/** Black on white with thicker lines, for a screen in the sun. Day and night follow the device. */
export const isSunlight = signal(kept());

export const toggleSunlight = (): void => {
  isSunlight.value = !isSunlight.value;
};

function kept(): boolean {
  try {
    return localStorage.getItem(KEPT_AS) === 'yes';
  } catch {
    // A browser may forbid storage; the choice is then made anew each time.
    return false;
  }
}

effect(() => {
  document.documentElement.classList.toggle('sunlight', isSunlight.value);
  try {
    localStorage.setItem(KEPT_AS, isSunlight.value ? 'yes' : 'no');
  } catch {
    // As above.
  }
});
