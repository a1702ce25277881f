import './standing.css';
import { HereSign } from '../../../drawing/index.ts';
import { ask, structureOf } from '../state/picked.ts';
import { isLocating, noPlace, standAt, standing, standWhereDeviceIs } from '../state/standing.ts';
import { say } from '../state/voice.ts';
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
      <HereSign />
      {say('parts.i-am-here')}
    </button>
  );
}

/** Where one stands, or the way to say it: by this device, or by a place picked on the map. */
export function Standing() {
  const place = standing.value;
  return (
    <div class="standing">
      <p role="status">
        {place !== null && say('parts.you-are', placeSaid(place))}
        {place === null && noPlace.value !== null && say('parts.say-where', { why: noPlace.value })}
      </p>
      {place === null ? (
        <button type="button" class="quiet stand-here" disabled={isLocating.value} onClick={standWhereDeviceIs}>
          <HereSign />
          {say(isLocating.value ? 'parts.asking-device' : 'parts.lids-near')}
        </button>
      ) : (
        <button type="button" class="quiet" aria-label={say('parts.forget-where')} onClick={() => standAt(null)}>
          {say('parts.forget')}
        </button>
      )}
    </div>
  );
}

/** Where one stands, as messages take it: at a point of the map, on a zone, or where this device says that it is. */
export function placeSaid(place: NonNullable<typeof standing.value>): { kind: 'at' | 'on' | 'device'; place: string } {
  if (typeof place !== 'string') return { kind: 'device', place: '' };
  if (structureOf(place)) return { kind: 'at', place };
  const other = yard.value?.map.others.find(({ id }) => id === place);
  if (!other) return { kind: 'on', place: nameOf(place) };
  return { kind: 'at', place: 'name' in other.properties ? String(other.properties.name ?? place) : nameOf(place) };
}
