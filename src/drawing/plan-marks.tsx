import { measureName } from '../words/index.ts';
import type { DrawnYard } from './drawn.ts';
import type { Flat } from './flat.ts';
import { placesOf } from './places.ts';
import { planPlaces } from './plan-places.ts';

const shift = ([x, y]: Flat) => `translate(${x.toFixed(1)} ${y.toFixed(1)})`;

/** From each kit a line to every zone it serves; those of what is picked stand out. */
export function KitLines(drawn: DrawnYard) {
  const { plan, pickedId } = drawn;
  if (!plan) return null;
  const places = placesOf(drawn);
  return (
    <g class="kit-lines">
      {planPlaces(drawn).kits.flatMap(({ letter, spot, serves, place: [x, y] }) =>
        serves.map((zone) => {
          const end = places.get(zone);
          if (!end) return null;
          const isPicked = pickedId !== null && (pickedId === spot || pickedId === zone);
          return (
            <g key={`${letter} ${zone}`} class={isPicked ? 'kit-line picked' : 'kit-line'}>
              <path d={`M${x.toFixed(1)} ${y.toFixed(1)}L${end[0].toFixed(1)} ${end[1].toFixed(1)}`} />
              <circle class="kit-end" cx={end[0].toFixed(1)} cy={end[1].toFixed(1)} r="4" />
            </g>
          );
        }),
      )}
    </g>
  );
}

/** Kits as cases with their letters, measures as diamonds with their numbers. */
export function PlanMarks(drawn: DrawnYard) {
  const { kits, measures, size } = planPlaces(drawn);
  return (
    <g class="plan-marks">
      {kits.map(({ letter, spot, isStanding, place }) => (
        <g key={letter} transform={shift(place)} data-pick={spot ?? undefined} data-kit={letter}>
          <title>{drawn.voice.say(isStanding ? 'drawing.kit-stands' : 'drawing.kit-new', { letter })}</title>
          <KitCase letter={letter} isStanding={isStanding} />
        </g>
      ))}
      {measures.map(({ number, measure, at, place }) => (
        <g key={number} transform={`${shift(place)} scale(${size})`} data-pick={at} data-measure={number}>
          <title>{measureName(measure, drawn.voice)}</title>
          <Diamond number={size < 1 ? null : number} />
        </g>
      ))}
    </g>
  );
}

function KitCase({ letter, isStanding }: { letter: string; isStanding: boolean }) {
  return (
    <g class={isStanding ? 'kit-case stands' : 'kit-case'}>
      <path class="kit-handle" d="M-4.5 -8V-12H4.5V-8" />
      <rect x="-12" y="-8" width="24" height="18" rx="2.5" />
      <text y="6" text-anchor="middle">
        {letter}
      </text>
    </g>
  );
}

function Diamond({ number }: { number: number | null }) {
  return (
    <g class="diamond">
      <path d="M0 -13L13 0L0 13L-13 0Z" />
      {number !== null && (
        <text y="4.5" text-anchor="middle">
          {number}
        </text>
      )}
    </g>
  );
}

/** The case of a kit, as on the map. */
export function KitSign({ letter, isStanding }: { letter: string; isStanding: boolean }) {
  return (
    <svg class="sign" viewBox="-14 -14 28 28" aria-hidden="true">
      <KitCase letter={letter} isStanding={isStanding} />
    </svg>
  );
}

/** The diamond of a measure, as on the map. */
export function MeasureSign({ number }: { number: number }) {
  return (
    <svg class="sign" viewBox="-14 -14 28 28" aria-hidden="true">
      <Diamond number={number} />
    </svg>
  );
}
