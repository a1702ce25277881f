import { computed } from '@preact/signals';
import { instantOf, isoTime } from '../../../site-map/index.ts';
import { say } from './voice.ts';
import { yard } from './yard.ts';

const deviceZone = () => Intl.DateTimeFormat().resolvedOptions().timeZone;

/** The time zone of a yard's clock: times are shown and written in it. Where the map states none, that of this device. */
export const zoneOfSite = ({ timeZone = deviceZone() }: { timeZone?: string }): string => timeZone;
const siteZone = computed(() => zoneOfSite(yard.value?.map.site ?? {}));

/** An instant as a field for date and time has it, by the yard's clock. */
export const siteTime = (ms: number): string => isoTime(ms, siteZone.value).slice(0, 16);

/** The instant that a date, or a date and time, names by the yard's clock, in ms; NaN where it names none. */
export const msOfSite = (when: string): number => instantOf(when, siteZone.value) ?? Number.NaN;

/** The time of day at an instant, by the yard's clock: "14:09". */
export const clockTime = (ms: number): string => siteTime(ms).slice(11);

/** The name of the yard's zone where this device's clock shows another time at that instant; null where both show the same. */
export function otherZone(ms: number): string | null {
  return siteTime(ms) === isoTime(ms, deviceZone()).slice(0, 16) ? null : siteZone.value;
}

/** "Times are the yard's, America/Denver: 07:05 there when it is 14:05 on this device."; empty where both clocks show the same. */
export function zoneSentence(ms: number): string {
  const zone = otherZone(ms);
  if (zone === null) return '';
  const here = isoTime(ms, deviceZone()).slice(11, 16);
  return say('state.zone-clock', { zone, there: clockTime(ms), here });
}
