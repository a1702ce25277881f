import type { Transform } from '../../../drawing/index.ts';
import { scaleLength } from '../../../drawing/index.ts';
import { say, voice } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

const MOST_PIXELS = 130;

/** A scale bar in the site's units, and north, which is always up. */
export function ScaleAndNorth({ transform }: { transform: Transform }) {
  if (!yard.value) return null;
  const metresPerPixel = yard.value.flat.metresPerUnit / transform.scale;
  const { pixels, label } = scaleLength(metresPerPixel, MOST_PIXELS, voice.value);
  return (
    <div class="scale-and-north">
      <svg class="north" viewBox="-10 -14 20 28" role="img" aria-label={say('map-screen.north')}>
        <path d="M0 -12L7 9L0 4L-7 9Z" />
      </svg>
      <svg
        class="scale"
        width={pixels + 2}
        height="12"
        role="img"
        aria-label={say('map-screen.scale', { length: label })}
      >
        <path d={`M1 2V10H${(pixels + 1).toFixed(1)}V2`} />
      </svg>
      <span>{label}</span>
    </div>
  );
}
