import { computed, effect, signal } from '@preact/signals';
import { choiceOf } from './choices.ts';

/** Sunlight is black on white with thicker lines, for a screen in the sun. Without a choice day and night follow the device. */
export const LOOKS = ['day', 'night', 'sunlight'] as const;
export const lookChoice = choiceOf('look', LOOKS);

const atNight = matchMedia('(prefers-color-scheme: dark)');
const isDeviceDark = signal(atNight.matches);
atNight.addEventListener('change', ({ matches }) => {
  isDeviceDark.value = matches;
});

/** What is shown. */
export const look = computed(() => lookChoice.value.value ?? (isDeviceDark.value ? 'night' : 'day'));
export const isSunlight = computed(() => look.value === 'sunlight');
export const toggleSunlight = (): void => lookChoice.choose(isSunlight.value ? null : 'sunlight');

effect(() => {
  const { classList } = document.documentElement;
  for (const each of LOOKS) classList.toggle(each, each === look.value);
});
