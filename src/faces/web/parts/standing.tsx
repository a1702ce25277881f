import './standing.css';
import { HereSign } from '../../../drawing/index.ts';
import { ask, structureOf } from '../state/picked.ts';
import { isLocating, noPlace, standAt, standing, standWhereDeviceIs } from '../state/standing.ts';
import { nameOf, yard } from '../state/yard.ts';

/** Says that one stands at the place that is picked; lids near it then come first. */
export function StandHere({ id }: { id: string }) {
  const isHere = standing.value === id;
  return (
    <button
      type="button"
      class="quiet stand-here"
      aria-pressed={isHere}
      onClick={() => {
        standAt(isHere ? null : id);
        ask('from');
      }}
    >
      <HereSign />I am here
    </button>
  );
}

/** Where one stands, or the way to say it: by this device, or by a place picked on the map. */
export function Standing() {
  const place = standing.value;
  return (
    <div class="standing">
      <p role="status">
        {place === null ? (noPlace.value ?? '') : `You are ${placeWords(place)}. Near lids come first.`}
        {place === null && noPlace.value && ' Pick where you stand on the map and press “I am here”.'}
      </p>
      {place === null ? (
        <button type="button" class="quiet stand-here" disabled={isLocating.value} onClick={standWhereDeviceIs}>
          <HereSign />
          {isLocating.value ? 'Asking this device …' : 'Lids near me first'}
        </button>
      ) : (
        <button type="button" class="quiet" aria-label="Forget where I am" onClick={() => standAt(null)}>
          Forget
        </button>
      )}
    </div>
  );
}

/** "at CB-7", "on Fuel island", "where this device is". */
export function placeWords(place: NonNullable<typeof standing.value>): string {
  if (typeof place !== 'string') return 'where this device is';
  if (structureOf(place)) return `at ${place}`;
  const other = yard.value?.map.others.find(({ id }) => id === place);
  const name = other && 'name' in other.properties ? String(other.properties.name ?? place) : nameOf(place);
  return other ? `at ${name}` : `on ${name}`;
}
