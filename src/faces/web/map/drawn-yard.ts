import { computed } from '@preact/signals';
import type { DrawnPlan, DrawnYard, Timer } from '../../../drawing/index.ts';
import { type Flat, flatOf } from '../../../drawing/index.ts';
import type { Position } from '../../../site-map/index.ts';
import { foundOil } from '../../../sources/index.ts';
import { isUnexplained, tagWords } from '../../../words/index.ts';
import { leftWords, ringWords } from '../parts/countdown.ts';
import { heldTo, minutesLeft, steps, stepsSaid } from '../state/clock.ts';
import { asked, findings, litresOf, sources, supposedId } from '../state/finding.ts';
import { block, isPathShown, pickedId, question, ways } from '../state/picked.ts';
import { chosenMeasures, letteredKits, planPart } from '../state/plan.ts';
import { chosenPlace, isClockOn } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { walkNow } from '../state/walk.ts';
import { walkerPlace } from '../state/walker-place.ts';
import { type OpenYard, unprotected, yard } from '../state/yard.ts';

const LIDS_SHOWN = 3;
/** A lid that tells less than this, in bits, is not worth a walk. */
const LEAST_BITS = 0.01;

/** What was seen, in the few words that fit a tag. */
const seen = computed(() => {
  const finding = asked.value;
  if (!finding) return null;
  const litres = litresOf(finding);
  if (litres !== null) return { at: finding.at, words: say('map-screen.found-volume', { volume: { litres } }) };
  return {
    at: finding.at,
    words: finding.id === supposedId.value ? say('map-screen.oil-supposed') : tagWords(finding, voice.value),
  };
});

/** The other places that were looked into; of several looks into one the latest is drawn. */
const looks = computed(() => {
  const isCleanAt = new Map<string, boolean>();
  for (const finding of [...findings.value].sort((a, b) => (a.seenAt < b.seenAt ? -1 : 1))) {
    if (finding.at !== asked.value?.at) isCleanAt.set(finding.at, !foundOil(finding));
  }
  return [...isCleanAt].map(([at, isClean]) => ({ at, isClean }));
});

export const lids = computed(
  () =>
    sources.value?.nextLids
      .filter(({ bits, minutes }) => bits >= LEAST_BITS && minutes !== Infinity)
      .slice(0, LIDS_SHOWN)
      .map(({ at }) => at) ?? [],
);

/** Where the walker stands, as soon as the answer counts from there. */
const here = computed(() => {
  const from = sources.value?.from;
  if (!from || !yard.value || walkerPlace.value === null) return null;
  return flatPlace(from, yard.value);
});

/** The structure whose oil nothing on the map explains. */
const unexplained = computed(() =>
  question.value === 'from' && sources.value && isUnexplained(sources.value) ? sources.value.at : null,
);

/** What to do, and what is in place. */
const acts = computed(() => [
  ...stepsSaid.value.flatMap(({ at, control, is }) =>
    is === 'placed' ? [{ at, control, oilMinutes: null, isPlaced: true }] : [],
  ),
  ...steps.value.map(({ at, control, oilMinutes }) => ({ at, control, oilMinutes, isPlaced: false })),
]);

const flatPlace = (position: Position, { flat: { middle } }: OpenYard): Flat => {
  const [x, y] = flatOf(position);
  return [x - middle[0], y - middle[1]];
};

const spillAt = computed((): Flat | null => {
  const place = chosenPlace.value;
  return place && 'point' in place && yard.value ? flatPlace(place.point, yard.value) : null;
});

/** The way to what is to be done now, while the question is about a spill. */
const walk = computed((): DrawnYard['walk'] => {
  const [way, open] = [walkNow.value, yard.value];
  if (!way || !open || question.value !== 'block' || way.path.length === 0) return null;
  const flat = (each: Position) => flatPlace(each, open);
  return { start: flat(way.start), path: way.path.map(flat), kit: way.kit && flat(way.kit) };
});

/** Both parts of the plan, as on paper; on screen one is looked at at a time. */
export const wholePlan = computed((): DrawnPlan | null => {
  const open = yard.value;
  if (!open || question.value !== 'kits') return null;
  return {
    kits: letteredKits.value.map((kit) => ({ ...kit, at: flatPlace(kit.at, open) })),
    measures: chosenMeasures.value.map(({ measure, at }, index) => ({ number: index + 1, measure, at })),
  };
});
const shownPlan = computed(
  () => wholePlan.value && { ...wholePlan.value, [planPart.value === 'kits' ? 'measures' : 'kits']: [] },
);

const drawnWays = computed(
  () =>
    ways.value && {
      up: new Set([...ways.value.up, ...ways.value.upLinks]),
      down: new Set([...ways.value.down, ...ways.value.downLinks]),
    },
);

/** Where things move, the front of the oil moves; else a link is drawn once oil can have passed it. */
const partReached: Timer['part'] = ({ from, to }) => {
  const part = Math.min(1, Math.max(0, -minutesLeft(from) / Math.max(to - from, 1e-9)));
  return matchMedia('(prefers-reduced-motion: reduce)').matches ? Math.floor(part) : part;
};

/** Everything a drawing of the yard needs but its size; null until a yard is open. */
export const drawnYard = computed((): Omit<DrawnYard, 'transform'> | null => {
  if (!yard.value) return null;
  return {
    flat: yard.value.flat,
    // Shares of oil found say nothing about a spill.
    answer: question.value === 'from' ? sources.value : null,
    unprotected: unprotected.value,
    seen:
      question.value === 'from' && seen.value
        ? {
            ...seen.value,
            words:
              unexplained.value === seen.value.at
                ? say('map-screen.not-explained', { seen: seen.value.words })
                : seen.value.words,
          }
        : null,
    looks: question.value === 'from' ? looks.value : [],
    unexplained: unexplained.value,
    here: question.value === 'from' ? here.value : null,
    lids: question.value === 'from' ? lids.value : [],
    block: isPathShown.value ? block.value : null,
    acts: isPathShown.value ? acts.value : [],
    spillAt: isPathShown.value ? spillAt.value : null,
    walk: walk.value,
    timer: { isOn: isClockOn.value, heldTo: heldTo.value, said: leftWords, brief: ringWords, part: partReached },
    voice: voice.value,
    plan: shownPlan.value,
    pickedId: pickedId.value,
    ways: drawnWays.value,
    hatchId: 'hatch',
  };
});
