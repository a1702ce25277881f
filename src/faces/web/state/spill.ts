import { computed, signal } from '@preact/signals';
import { isInside } from '../../../algorithms/index.ts';
import { type Flat, flatOf, positionOf } from '../../../drawing/index.ts';
import { FLUIDS, type Fluid, isObject, type Position, type Zone } from '../../../site-map/index.ts';
import type { SpillPlace } from '../../../spill/index.ts';
import { sources } from './finding.ts';
import { keepPart, numberOf } from './kept-parts.ts';
import { yard } from './yard.ts';

/** A drum: what is taken to have been spilled where the map says nothing of it. A guess, on the large side. */
const DEFAULT_LITRES = 205;

const NOT_KNOWN = 'not known';

/** Where the crew sets out when it is at the spill already; every other word is the id of a crew post. */
export const BESIDE = '';

/** What somebody chose; null lets the map stand in. */
export const chosenPlace = signal<SpillPlace | null>(null);
const chosenLitres = signal<number | null>(null);
/** By the zone whose ground it is on, so that who comes back to a zone finds what was said there; outside every zone by "". */
const chosenFluids = signal<Readonly<Record<string, Fluid | typeof NOT_KNOWN>>>({});
const chosenFluid = computed(() => chosenFluids.value[spillZone.value ?? ''] ?? null);

export const rainMmPerH = signal(0);
/** Minutes between the start of the spill and the start of the clock. */
export const agoMinutes = signal(0);
/** A crew post, `BESIDE` the spill, or null for whichever post is best. */
export const crewFrom = signal<string | null>(null);

/** Whether a spill's clock runs: then a stray touch of the map must not move it. */
export const isClockOn = signal(false);

/** Where the spill is: as chosen, else on the likeliest source, else on the first zone. */
export const spillPlace = computed((): SpillPlace | null => {
  if (chosenPlace.value) return chosenPlace.value;
  const zone = sources.value?.zones[0]?.id ?? yard.value?.map.zones[0]?.id;
  return zone === undefined ? null : { zone };
});

/** The zone whose ground it is on; null outside every zone. */
const zoneUnder = computed((): Zone | null => {
  const place = spillPlace.value;
  if (!place || !yard.value) return null;
  const { zones, middle } = yard.value.flat;
  if ('zone' in place) return zones.find(({ zone }) => zone.id === place.zone)?.zone ?? null;
  const [x, y] = flatOf(place.point);
  const at: Flat = [x - middle[0], y - middle[1]];
  return zones.find(({ area }) => isInside(area.flat(), at))?.zone ?? null;
});
export const spillZone = computed(() => zoneUnder.value?.id ?? null);

const fluids = computed(() =>
  [...(zoneUnder.value?.properties.fluids ?? [])].sort((a, b) => (b.largestLitres ?? 0) - (a.largestLitres ?? 0)),
);

/** Litres spilled: as chosen, else the largest container of the zone. */
export const litres = computed(() => chosenLitres.value ?? (fluids.value[0]?.largestLitres || DEFAULT_LITRES));

/**
 * What is spilled: as chosen, else what the zone has most of; undefined where it is not known. Where gasoline stands
 * among several fluids nothing is taken for granted, for then the advice must warn of it.
 */
export const fluid = computed((): Fluid | undefined => {
  if (chosenFluid.value !== null) return chosenFluid.value === NOT_KNOWN ? undefined : chosenFluid.value;
  const isSafeGuess = fluids.value.length === 1 || fluids.value.every((each) => each.fluid !== 'gasoline');
  return isSafeGuess ? fluids.value[0]?.fluid : undefined;
});

export const chooseLitres = (amount: number): void => {
  chosenLitres.value = amount;
};
export const chooseFluid = (chosen: Fluid | undefined): void => {
  chosenFluids.value = { ...chosenFluids.value, [spillZone.value ?? '']: chosen ?? NOT_KNOWN };
};

/** Whether anything was chosen in place of what the map says. */
export const isSpillChosen = computed(
  () =>
    chosenPlace.value !== null ||
    chosenLitres.value !== null ||
    Object.keys(chosenFluids.value).length > 0 ||
    rainMmPerH.value > 0 ||
    agoMinutes.value > 0 ||
    crewFrom.value !== null,
);

/** Puts the spill somewhere else. On other ground the fluid is the map's, or what was chosen there before; while the clock runs it stays where it is. */
export function choosePlace(place: SpillPlace): void {
  if (!isClockOn.value) chosenPlace.value = place;
}

/** The spill as it stands, to be kept and to be taken up again. */
export interface SpillFacts {
  place: SpillPlace;
  litres: number;
  fluid: Fluid | null;
  rainMmPerH: number;
  agoMinutes: number;
  crewFrom: string | null;
}

export const spillFacts = computed((): SpillFacts | null => {
  const place = spillPlace.value;
  return (
    place && {
      place,
      litres: litres.value,
      fluid: fluid.value ?? null,
      rainMmPerH: rainMmPerH.value,
      agoMinutes: agoMinutes.value,
      crewFrom: crewFrom.value,
    }
  );
});

export function takeFacts(facts: SpillFacts): void {
  chosenPlace.value = facts.place;
  chosenLitres.value = facts.litres;
  chooseFluid(facts.fluid ?? undefined);
  rainMmPerH.value = facts.rainMmPerH;
  agoMinutes.value = facts.agoMinutes;
  crewFrom.value = facts.crewFrom;
}

/** Forgets what was chosen, as for a spill that is begun afresh. */
export function forgetSpill(): void {
  chosenPlace.value = null;
  chosenLitres.value = null;
  chosenFluids.value = {};
  rainMmPerH.value = 0;
  agoMinutes.value = 0;
  crewFrom.value = null;
}

/** Where on the globe the spill is: its point, else where its zone has most room. */
export function spillPosition(): Position | undefined {
  const place = spillPlace.value;
  if (!place || !yard.value) return undefined;
  if ('point' in place) return place.point;
  const { zones, middle } = yard.value.flat;
  const spot = zones.find(({ zone }) => zone.id === place.zone)?.spots[0];
  return spot && positionOf([middle[0] + spot[0], middle[1] + spot[1]]);
}

/** Where the crew sets out; undefined leaves it to the map's posts. */
export function crewPosition(): Position | undefined {
  const from = crewFrom.value;
  if (from === null) return undefined;
  if (from === BESIDE) return spillPosition();
  const post = yard.value?.map.others.find(({ id }) => id === from);
  return post?.geometry.type === 'Point' ? post.geometry.coordinates : undefined;
}

/** Keeps what was chosen on this device, for as long as the page lives. */
export function keepSpill(): void {
  keepPart({
    name: 'spill',
    now: () => ({
      place: chosenPlace.value,
      litres: chosenLitres.value,
      fluids: chosenFluids.value,
      rainMmPerH: rainMmPerH.value,
      agoMinutes: agoMinutes.value,
      crewFrom: crewFrom.value,
    }),
    take: (kept) => {
      if (!isObject(kept)) return;
      chosenPlace.value = placeOf(kept.place);
      chosenLitres.value = numberOf(kept.litres);
      chosenFluids.value = fluidsOf(kept.fluids);
      rainMmPerH.value = numberOf(kept.rainMmPerH) ?? 0;
      agoMinutes.value = numberOf(kept.agoMinutes) ?? 0;
      crewFrom.value = typeof kept.crewFrom === 'string' ? kept.crewFrom : null;
    },
  });
}

/** A place that is still on the map. */
function placeOf(kept: unknown): SpillPlace | null {
  if (!isObject(kept)) return null;
  const { zone, point } = kept;
  if (Array.isArray(point) && point.every((each) => typeof each === 'number')) return { point: [point[0], point[1]] };
  return yard.value?.map.zones.some(({ id }) => id === zone) ? { zone: String(zone) } : null;
}

function fluidsOf(kept: unknown): (typeof chosenFluids)['value'] {
  const entries = isObject(kept) ? Object.entries(kept) : [];
  const isKnown = (word: unknown): word is Fluid | typeof NOT_KNOWN =>
    [...FLUIDS, NOT_KNOWN].some((each) => each === word);
  return Object.fromEntries(entries.flatMap(([zone, word]) => (isKnown(word) ? [[zone, word]] : [])));
}
