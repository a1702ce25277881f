import { computed } from '@preact/signals';
import { type Position, walkerPosition, walkingGround } from '../../../site-map/index.ts';
import { stepNow } from './clock.ts';
import { block } from './picked.ts';
import { spillPosition, spillZone } from './spill.ts';
import { yard } from './yard.ts';

/** A way on foot, with the kit that is fetched on it; infinite minutes and no points where there is no way. */
export interface Walk {
  start: Position;
  kit: Position | null;
  end: Position;
  path: Position[];
  minutes: number;
}

const ground = computed(() => yard.value && walkingGround(yard.value.map));

/** The way of who does the step that is to be done now: to the kit, where one is fetched, and on to the place. */
export const walkNow = computed((): Walk | null => {
  const [step, open, ways] = [stepNow.value, yard.value, ground.value];
  const hand = block.value?.answer?.hands.find(({ id }) => id === step?.hand);
  if (!step || !open || !ways || !hand) return null;
  // Ground is not walked to its middle but to the oil.
  const end = (step.at === spillZone.value ? spillPosition() : null) ?? walkerPosition(open.map, step.at);
  if (!end) return null;
  const kit = step.kit === null ? null : walkerPosition(open.map, step.kit);
  const legs = kit ? [ways.wayFrom(hand.position, kit), ways.wayFrom(kit, end)] : [ways.wayFrom(hand.position, end)];
  const minutes = legs.reduce((sum, leg) => sum + leg.minutes, 0);
  return {
    start: hand.position,
    kit,
    end,
    path: minutes === Infinity ? [] : legs.flatMap(({ path }) => path),
    minutes,
  };
});
