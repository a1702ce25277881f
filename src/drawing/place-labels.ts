import { shortMinutes } from '../words/index.ts';
import { type Callout, placeCallouts } from './callouts.ts';
import type { DrawnYard } from './drawn.ts';
import { boundsOf, type Flat, toPixels } from './flat.ts';
import type { FlatOther } from './flat-yard.ts';
import { labelSpots } from './label-spots.ts';
import { markSize, NAMED_FROM } from './mark-size.ts';
import { type PointLabel, placeCentredLabel, placePointLabel } from './point-labels.ts';
import { isClear, type Room, roomOf } from './room.ts';
import { placeZoneLabels, type ZoneLabel } from './zone-labels.ts';

export interface PlacedLabels {
  callouts: Callout[];
  zones: ZoneLabel[];
  points: PointLabel[];
  places: PointLabel[];
}

/**
 * Everything that is written on the map, so placed that no words lie on others: first what to do, then the numbers and
 * names in zones, then structures, then buildings and water. What finds no room is left out.
 */
export function placeLabels(drawn: DrawnYard): PlacedLabels {
  const { flat, transform, answer, unprotected } = drawn;
  const room = roomOf(drawn);
  const callouts = placeCallouts(drawn, room);
  const isSmall = markSize(flat, transform) < NAMED_FROM;
  const shares = new Map(answer?.zones.map(({ id, share }) => [id, share]));
  const zones = placeZoneLabels(
    flat.zones.map((each) => ({
      ...each,
      share: shares.get(each.zone.id) ?? null,
      goesRound: unprotected.has(each.zone.id),
    })),
    { transform, room, isSmall },
    drawn.voice,
  );
  if (isSmall) return { callouts, zones, points: [], places: [] };
  const named = new Set(callouts.filter(({ kind }) => kind !== 'seen').map(({ at }) => at));
  const widest = shortMinutes(WIDEST_MINUTES, drawn.voice);
  const arrivals = new Map(drawn.block?.spill?.arrivals.map(({ id, minutes }) => [id, minutes]));
  /** A point that oil gets to says when; where there is no room for that, its name alone. */
  const pointLabel = (id: string, at: Flat): PointLabel[] => {
    const minutes = arrivals.get(id);
    const timed = minutes === undefined ? null : placePointLabel(`${id} ${widest}`, at, room);
    if (timed && minutes !== undefined) return [{ ...timed, text: id, minutes }];
    const plain = placePointLabel(id, at, room);
    return plain ? [plain] : [];
  };
  const points = flat.structures.flatMap(({ structure: { id }, at }) =>
    named.has(id) ? [] : pointLabel(id, toPixels(transform, at)),
  );
  return { callouts, zones, points, places: placeNames(drawn, room) };
}

/** Room is kept for so many minutes, so that nothing moves while the clock runs. */
const WIDEST_MINUTES = 88;

/** Names of buildings, water, kits and posts, where there is still room; a zone of the same name has said it already. */
function placeNames({ flat, transform, plan }: DrawnYard, room: Room): PointLabel[] {
  const said = new Set(flat.zones.map(({ zone }) => zone.name));
  const planned = new Set(plan?.kits.map(({ spot }) => spot));
  return flat.others.flatMap((other) => {
    const { id, name, kind, at } = other;
    if (!name || said.has(name) || kind === 'property-line' || (kind === 'kit-spot' && !planned.has(id))) return [];
    if (at) return placePointLabel(name, toPixels(transform, at), room, isClear) ?? [];
    const spots = spotsOf(other).map((spot) => toPixels(transform, spot));
    return placeCentredLabel(name, spots, room) ?? [];
  });
}

function spotsOf({ area, path }: FlatOther): readonly Flat[] {
  if (area) return boundsOf(area.flat(2)) ? labelSpots(area, []) : [];
  const middle = path?.[Math.floor(path.length / 2)];
  return middle ? [middle] : [];
}
