import { computed, signal } from '@preact/signals';
import { isInside } from '../../../algorithms/index.ts';
import { type Flat, flatOf } from '../../../drawing/index.ts';
import { FLUIDS, type Fluid, isObject, type Zone } from '../../../site-map/index.ts';
import type { SpillPlace } from '../../../spill/index.ts';
import { HELPERS, type Helpers } from '../compute/protocol.ts';
import { keepPart, numberOf } from './kept-parts.ts';
import { yard } from './yard.ts';

/** A drum: what most that is stored in a yard comes in. */
export const DRUM_LITRES = 205;

/** How much runs out: litres in all, or, where it is still running, litres a minute. */
export interface SpillAmount {
  litres: number;
  isStill: boolean;
}

export { HELPERS };

/** What somebody said; null where nobody has. Nothing of it is filled in silently. */
export const chosenPlace = signal<SpillPlace | null>(null);
export const chosenAmount = signal<SpillAmount | null>(null);
export const chosenFluid = signal<Fluid | 'unknown' | null>(null);
/** Whether it was said that it still runs; how fast may not be said yet. */
export const isStillRunning = signal(false);

export function chooseAmount(amount: SpillAmount): void {
  chosenAmount.value = amount;
  isStillRunning.value = amount.isStill;
}

/** Minutes over which it runs out; null leaves it to the map, else it is a guess that is told. */
export const overMinutes = signal<number | null>(null);
export const rainMmPerH = signal(0);
/** Minutes between the start of the spill and the start of the clock. */
export const agoMinutes = signal(0);
export const helpers = signal<Helpers>('all');

/** Whether a spill's clock runs: then a stray touch of the map must not move it. */
export const isClockOn = signal(false);

/** The zone whose ground it is on; null outside every zone. */
const zoneUnder = computed((): Zone | null => {
  const place = chosenPlace.value;
  if (!place || !yard.value) return null;
  const { zones, middle } = yard.value.flat;
  if ('zone' in place) return zones.find(({ zone }) => zone.id === place.zone)?.zone ?? null;
  const [x, y] = flatOf(place.point);
  const at: Flat = [x - middle[0], y - middle[1]];
  return zones.find(({ area }) => isInside(area.flat(), at))?.zone ?? null;
});
export const spillZone = computed(() => zoneUnder.value?.id ?? null);

/** What the map lists on that ground, the largest first. */
export const listedFluids = computed(() =>
  [...(zoneUnder.value?.properties.fluids ?? [])].sort((a, b) => (b.largestLitres ?? 0) - (a.largestLitres ?? 0)),
);

/** Whether gasoline's rule counts, as far as anybody has said what it is. */
export const mayBeGasoline = computed(() => chosenFluid.value === 'unknown' || chosenFluid.value === 'gasoline');

/** Whether anything was said. */
export const isSpillChosen = computed(
  () =>
    chosenPlace.value !== null ||
    chosenAmount.value !== null ||
    chosenFluid.value !== null ||
    overMinutes.value !== null ||
    rainMmPerH.value > 0 ||
    agoMinutes.value > 0 ||
    helpers.value !== 'all',
);

/** Puts the spill somewhere else. On other ground the fluid is the map's, or what was chosen there before; while the clock runs it stays where it is. */
export function choosePlace(place: SpillPlace): void {
  if (!isClockOn.value) chosenPlace.value = place;
}

/** The spill as it was told, to be kept and to be taken up again. */
export interface SpillFacts extends SpillAmount {
  place: SpillPlace;
  fluid: Fluid | 'unknown';
  overMinutes: number | null;
  rainMmPerH: number;
  agoMinutes: number;
  helpers: Helpers;
}

/** Null until somebody has said where it is, what it is and how much. */
export const spillFacts = computed((): SpillFacts | null => {
  const [place, amount, fluid] = [chosenPlace.value, chosenAmount.value, chosenFluid.value];
  return (
    place &&
    amount &&
    fluid && {
      place,
      ...amount,
      fluid,
      overMinutes: overMinutes.value,
      rainMmPerH: rainMmPerH.value,
      agoMinutes: agoMinutes.value,
      helpers: helpers.value,
    }
  );
});

export function takeFacts(facts: SpillFacts): void {
  chosenPlace.value = facts.place;
  chooseAmount({ litres: facts.litres, isStill: facts.isStill });
  chosenFluid.value = facts.fluid;
  overMinutes.value = facts.overMinutes;
  rainMmPerH.value = facts.rainMmPerH;
  agoMinutes.value = facts.agoMinutes;
  helpers.value = facts.helpers;
}

/** Forgets what was said, as for a spill that is begun afresh. */
export function forgetSpill(): void {
  chosenPlace.value = null;
  chosenAmount.value = null;
  isStillRunning.value = false;
  chosenFluid.value = null;
  overMinutes.value = null;
  rainMmPerH.value = 0;
  agoMinutes.value = 0;
  helpers.value = 'all';
}

/** Keeps what was said on this device, for as long as the page lives. */
export function keepSpill(): void {
  keepPart({
    name: 'spill',
    now: () => ({
      place: chosenPlace.value,
      amount: chosenAmount.value,
      isStillRunning: isStillRunning.value,
      fluid: chosenFluid.value,
      overMinutes: overMinutes.value,
      rainMmPerH: rainMmPerH.value,
      agoMinutes: agoMinutes.value,
      helpers: helpers.value,
    }),
    take: (kept) => {
      if (!isObject(kept)) return;
      chosenPlace.value = placeOf(kept.place);
      chosenAmount.value = amountIn(kept.amount);
      isStillRunning.value = kept.isStillRunning === true;
      chosenFluid.value = [...FLUIDS, 'unknown' as const].find((each) => each === kept.fluid) ?? null;
      overMinutes.value = numberOf(kept.overMinutes);
      rainMmPerH.value = numberOf(kept.rainMmPerH) ?? 0;
      agoMinutes.value = numberOf(kept.agoMinutes) ?? 0;
      helpers.value = HELPERS.find((each) => each === kept.helpers) ?? 'all';
    },
  });
}

/** A spill as another device has told it; null where that is not whole. */
export function factsIn(told: unknown): SpillFacts | null {
  if (!isObject(told)) return null;
  const [place, amount] = [placeOf(told.place), amountIn(told)];
  const fluid = [...FLUIDS, 'unknown' as const].find((each) => each === told.fluid);
  return place && amount && fluid
    ? {
        place,
        ...amount,
        fluid,
        overMinutes: numberOf(told.overMinutes),
        rainMmPerH: numberOf(told.rainMmPerH) ?? 0,
        agoMinutes: numberOf(told.agoMinutes) ?? 0,
        helpers: HELPERS.find((each) => each === told.helpers) ?? 'all',
      }
    : null;
}

/** A place that is still on the map. */
function placeOf(kept: unknown): SpillPlace | null {
  if (!isObject(kept)) return null;
  const { zone, point } = kept;
  if (Array.isArray(point) && point.every((each) => typeof each === 'number')) return { point: [point[0], point[1]] };
  return yard.value?.map.zones.some(({ id }) => id === zone) ? { zone: String(zone) } : null;
}

function amountIn(kept: unknown): SpillAmount | null {
  const litres = isObject(kept) ? numberOf(kept.litres) : null;
  return litres !== null && litres > 0 && isObject(kept) ? { litres, isStill: kept.isStill === true } : null;
}
