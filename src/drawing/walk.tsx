import type { DrawnYard } from './drawn.ts';
import { type Flat, pathOf, toPixels } from './flat.ts';
import { Mark } from './marks.tsx';

const shift = ([x, y]: Flat) => `translate(${x.toFixed(1)} ${y.toFixed(1)})`;

/**
 * The way on foot to the thing to do now: a row of steps, a boot where it begins and a case where something is fetched on
 * the way. Where it ends the ring of what to do stands. Told from links by its shape alone, in sun and on paper.
 */
export function Walk({ transform, walk, voice }: DrawnYard) {
  if (!walk) return null;
  const path = pathOf(walk.path, transform);
  return (
    <g class="walk">
      <title>{voice.say('drawing.walk')}</title>
      <path class="walk-casing" d={path} />
      <path class="walk-line" d={path} />
      {walk.kit && (
        <g class="walk-stop" transform={shift(toPixels(transform, walk.kit))}>
          <circle r="15" />
          <Mark kind="kit" />
        </g>
      )}
      <g class="walk-stop" transform={shift(toPixels(transform, walk.start))}>
        <circle r="13" />
        <Mark kind="crew" />
      </g>
    </g>
  );
}
