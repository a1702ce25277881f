import './walker-place.css';
import { HereSign } from '../../../drawing/index.ts';
import { ask, structureOf } from '../state/picked.ts';
import { say } from '../state/voice.ts';
import { isLocating, noDevicePlace, setWalkerPlace, walkerPlace, walkFromDevice } from '../state/walker-place.ts';
import { nameOf, yard } from '../state/yard.ts';

/** Says that one stands at the place that is picked; lids near it then come first. */
export function WalkFromHere({ id }: { id: string }) {
  const isHere = walkerPlace.value === id;
  return (
    <button
      type="button"
      class="quiet stand-here"
      aria-pressed={isHere}
      onClick={() => {
        setWalkerPlace(isHere ? null : id);
        ask('from');
      }}
    >
      <HereSign />
      {say('parts.i-am-here')}
    </button>
  );
}

/** Where one stands, or the way to say it: by this device, or by a place picked on the map. */
export function WalkerPlace() {
  const place = walkerPlace.value;
  return (
    <div class="standing">
      <p role="status">
        {place !== null && say('parts.you-are', placeSaid(place))}
        {place === null && noDevicePlace.value !== null && say('parts.say-where', { why: noDevicePlace.value })}
      </p>
      {place === null ? (
        <button type="button" class="quiet stand-here" disabled={isLocating.value} onClick={walkFromDevice}>
          <HereSign />
          {say(isLocating.value ? 'parts.asking-device' : 'parts.lids-near')}
        </button>
      ) : (
        <button type="button" class="quiet" aria-label={say('parts.forget-where')} onClick={() => setWalkerPlace(null)}>
          {say('parts.forget')}
        </button>
      )}
    </div>
  );
}

/** Where one stands, as messages take it: at a point of the map, on a zone, or where this device says that it is. */
export function placeSaid(place: NonNullable<typeof walkerPlace.value>): {
  kind: 'at' | 'on' | 'device';
  place: string;
} {
  if (typeof place !== 'string') return { kind: 'device', place: '' };
  if (structureOf(place)) return { kind: 'at', place };
  const other = yard.value?.map.others.find(({ id }) => id === place);
  if (!other) return { kind: 'on', place: nameOf(place) };
  return { kind: 'at', place: 'name' in other.properties ? String(other.properties.name ?? place) : nameOf(place) };
}
