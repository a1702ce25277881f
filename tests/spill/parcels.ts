import {
  arrivalTimes,
  arrivesOverSurface,
  type Drainage,
  groundTravel,
  holdsAtFlow,
} from '../../src/drainage/index.ts';
import { isOfKind, lengthOf, type Structure } from '../../src/site-map/index.ts';
import { type PlacedControl, type PosedSpill, releasesOf } from '../../src/spill/index.ts';

/** A litre count that came somewhere at a minute. */
export interface Came {
  minutes: number;
  litres: number;
}

/** What became of a release that was cut into parcels. */
export interface Parcelled {
  /** What entered each structure's chamber, in the order in which it came; in a loop as often as it came. */
  entered: ReadonlyMap<string, readonly Came[]>;
  toWater: number;
  /** Into ends that are not water. */
  toOthers: number;
  pastGrates: number;
  kept: number;
  held: number;
  onGround: number;
}

/** Room that fills: it keeps a part of what comes, until it is full. */
interface Room {
  part: number;
  left: number;
}

interface Pump {
  startLitres: number;
  perMinute: number;
  waiting: number[];
  stands: number;
  hasStarted: boolean;
  busyUntil: number;
}

interface Place {
  structure: Structure;
  insert: Room | null;
  sump: Room;
  own: Room;
  wait: number;
  pump: Pump | null;
}

/** A parcel on its way: where it gets to, when, and what it meets there. */
interface Parcel {
  minutes: number;
  litres: number;
  at: string;
  meets: 'grate' | 'chamber' | 'pump' | 'outlet';
}

const LITRES_OF_ROOM_PER_LPS = 15;
const LEAST_OIL_MM = 25.4;
const CLOSED_VALVE_HOLDS = 0.99;
/** The least part of a parcel that goes along a link by itself. */
const CRUMB = 0.02;

/** Parcels in the order of their minutes: a plain binary heap, first in first out among equals. */
class Timetable {
  #heap: { parcel: Parcel; turn: number }[] = [];
  #turn = 0;

  add(parcel: Parcel): void {
    const heap = this.#heap;
    let at = heap.push({ parcel, turn: this.#turn++ }) - 1;
    while (at > 0 && isBefore(heap[at], heap[(at - 1) >> 1])) {
      const above = (at - 1) >> 1;
      [heap[at], heap[above]] = [heap[above], heap[at]];
      at = above;
    }
  }

  next(): Parcel | undefined {
    const heap = this.#heap;
    const first = heap[0];
    const last = heap.pop();
    if (!first || !last) return undefined;
    if (heap.length > 0) {
      heap[0] = last;
      let at = 0;
      for (;;) {
        let least = at;
        for (const child of [2 * at + 1, 2 * at + 2])
          if (child < heap.length && isBefore(heap[child], heap[least])) least = child;
        if (least === at) break;
        [heap[at], heap[least]] = [heap[least], heap[at]];
        at = least;
      }
    }
    return first.parcel;
  }
}

const isBefore = (one: { parcel: Parcel; turn: number }, other: { parcel: Parcel; turn: number }) =>
  one.parcel.minutes < other.parcel.minutes || (one.parcel.minutes === other.parcel.minutes && one.turn < other.turn);

/** Takes what stays off a parcel, and says what goes on. */
function fill(room: Room, litres: number): number {
  const stays = Math.min(room.part * litres, room.left);
  room.left -= stays;
  return litres - stays;
}

/**
 * A spill by brute force: the release cut into equal parcels, each walked through the map in a queue of events, by the
 * rules alone. It shares nothing with the curves that the program follows; only delays, shares and what ground keeps come
 * from the same drainage. Links into public drains are not told apart: `toOthers` is what gets into ends that are no water.
 */
export function walkParcels(
  drainage: Drainage,
  posed: PosedSpill,
  placed: readonly PlacedControl[],
  { parcels, countsGround = true }: { parcels: number; countsGround?: boolean },
): Parcelled {
  const isDry = posed.rainMmPerH === 0;
  const releases = releasesOf(posed);
  const arrivals = arrivalTimes(drainage, releases, { rainMmPerH: posed.rainMmPerH, fluid: posed.fluid });
  const indexOf = new Map<string, number>();
  drainage.map.structures.forEach(({ id }) => {
    const index = drainage.order.indexOf[drainage.nodeOf.get(id) ?? 0];
    indexOf.set(id, index);
  });
  const flowAt = (id: string) => arrivals.flowLps[indexOf.get(id) ?? 0];
  const places = new Map<string, Place>();
  for (const structure of drainage.map.structures) {
    const { insert, sumpLitres = 0 } = structure.properties;
    const pumped = structure.kind === 'manhole' ? structure.properties.pumped : undefined;
    places.set(structure.id, {
      structure,
      insert: insert ? { part: insert.holds, left: insert.litres ?? Number.POSITIVE_INFINITY } : null,
      sump: { part: 1, left: isDry ? sumpLitres : 0 },
      own: { part: holdsAtFlow(structure, flowAt(structure.id)), left: roomOf(structure) },
      wait: arrivals.waitMinutes[indexOf.get(structure.id) ?? 0],
      pump: pumped
        ? {
            startLitres: pumped.startLitres ?? 0,
            perMinute: pumped.lps * 60,
            waiting: [],
            stands: 0,
            hasStarted: false,
            busyUntil: Number.NEGATIVE_INFINITY,
          }
        : null,
    });
  }
  const groundOf = (kept: number): Room => ({ part: 1, left: countsGround ? kept : 0 });
  const ways = drainage.linkAt.flatMap((link, edge) => {
    const flow = arrivals.flows[edge];
    if (!link || !flow) return [];
    return [
      {
        from: link.properties.from,
        to: link.properties.to,
        share: arrivals.oilShare[edge],
        minutes: countsGround ? flow.likelyMinutes : flow.filmMinutes,
        ground: groundOf(flow.keepsLitres),
        isOver: arrivesOverSurface(link),
        crumbs: 0,
      },
    ];
  });
  const waysFrom = new Map<string, (typeof ways)[number][]>();
  for (const way of ways) waysFrom.set(way.from, [...(waysFrom.get(way.from) ?? []), way]);
  const own = new Set(releases.map(({ structure }) => structure));
  for (const id of own) {
    const { setting, spillsTo } = places.get(id)?.structure.properties ?? {};
    if (spillsTo !== undefined && setting !== 'sag' && places.has(spillsTo)) own.add(spillsTo);
  }
  const inHand = placed.map((each) => ({ ...each, room: { part: each.holds, left: each.litres } }));
  const entered = new Map<string, Came[]>();
  const sums = { toWater: 0, toOthers: 0, pastGrates: 0, kept: 0, held: 0, onGround: 0 };
  const timetable = new Timetable();
  const stopsOf = (id: string): readonly string[] => {
    const device = drainage.map.others.find((each) => each.id === id);
    return device && isOfKind(device, 'fuel-stop', 'pump-switch') ? device.properties.stops : [];
  };
  const past = (
    controls: readonly string[],
    at: string,
    { minutes, litres }: Came,
  ): { left: number; caught: number } => {
    let left = litres;
    for (const control of controls)
      for (const each of inHand)
        if (each.control === control && each.at === at && minutes >= each.minutes) left = fill(each.room, left);
    return { left, caught: litres - left };
  };
  const overGround = (from: string, to: string) =>
    groundTravel({
      metres: lengthOf([positionOf(from), positionOf(to)]),
      slope: 0.02,
      surface: 'asphalt',
      flowLps: flowAt(from),
      fluid: null,
      isDry: false,
    }).minutes;
  const positionOf = (id: string) => places.get(id)?.structure.position ?? [0, 0];

  // The source, and the spill's own ground.
  const zone = posed.start.zone?.id ?? '';
  const size = posed.litres / parcels;
  const shareOf = new Map(posed.start.waysIn.map(({ to, share }) => [to, share]));
  const grounds = releases.map(({ structure, likelyMinutes, filmMinutes, keepsLitres }) => ({
    to: structure,
    share: shareOf.get(structure) ?? 0,
    minutes: countsGround ? likelyMinutes : filmMinutes,
    ground: groundOf(keepsLitres),
  }));
  const drains = grounds.reduce((sum, { share }) => sum + share, 0);
  for (let number = 0; number < parcels; number++) {
    const minutes = ((number + 0.5) * posed.overMinutes) / parcels;
    const isStopped = inHand.some(
      (each) => each.control === 'fuel-stop' && minutes >= each.minutes && stopsOf(each.at).includes(zone),
    );
    const { left, caught } = isStopped
      ? { left: 0, caught: size }
      : past(['berm', 'absorb'], zone, { minutes, litres: size });
    sums.kept += caught;
    for (const { to, share, minutes: delay, ground } of grounds) {
      const off = fill(ground, left * share);
      sums.onGround += left * share - off;
      if (off > 0) timetable.add({ minutes: minutes + delay, litres: off, at: to, meets: 'grate' });
    }
    sums.onGround += left * Math.max(0, 1 - drains);
  }

  const meets: Record<Parcel['meets'], (place: Place, parcel: Parcel) => void> = {
    grate: (place, parcel) => {
      const { minutes, at } = parcel;
      const { setting, spillsTo } = place.structure.properties;
      const sock = past(['sock'], at, parcel);
      sums.kept += sock.caught;
      const cover = past(['cover'], at, { minutes, litres: sock.left });
      if (cover.caught > 0 && spillsTo !== undefined && setting !== 'sag' && places.has(spillsTo)) {
        const litres = cover.caught;
        timetable.add({ minutes: minutes + overGround(at, spillsTo), litres, at: spillsTo, meets: 'grate' });
      } else sums.kept += cover.caught;
      const left = place.insert ? fill(place.insert, cover.left) : cover.left;
      sums.held += cover.left - left;
      if (own.has(at)) sums.pastGrates += left;
      if (left > 0) meets.chamber(place, { ...parcel, litres: left });
    },
    chamber: (place, parcel) => {
      const { minutes, litres, at } = parcel;
      entered.set(at, entered.get(at) ?? []);
      entered.get(at)?.push({ minutes, litres });
      const end = endOf(place.structure);
      if (end === 'other') sums.toOthers += litres;
      if (end === 'other') return;
      if (end === 'water') {
        meets.outlet(place, parcel);
        return;
      }
      const left = fill(place.own, fill(place.sump, litres));
      sums.held += litres - left;
      if (left > 0)
        timetable.add({ minutes: minutes + place.wait, litres: left, at, meets: place.pump ? 'pump' : 'outlet' });
    },
    pump: ({ pump }, { minutes, litres, at }) => {
      if (!pump) return;
      pump.waiting.push(litres);
      pump.stands += litres;
      if (!pump.hasStarted && pump.stands < pump.startLitres * (1 - 1e-12)) return;
      pump.hasStarted = true;
      for (const each of pump.waiting.splice(0)) {
        const leaves = Math.max(minutes, pump.busyUntil);
        pump.busyUntil = leaves + each / pump.perMinute;
        pump.stands -= each;
        timetable.add({ minutes: leaves, litres: each, at, meets: 'outlet' });
      }
    },
    outlet: ({ structure, pump }, parcel) => {
      const { minutes, at } = parcel;
      const isOff =
        pump !== null &&
        inHand.some(
          (each) => each.control === 'pump-switch' && minutes >= each.minutes && stopsOf(each.at).includes(at),
        );
      const { left, caught } = isOff ? { left: 0, caught: parcel.litres } : past(['boom', 'plug', 'valve'], at, parcel);
      sums.kept += caught;
      const shut = structure.kind === 'valve' && structure.properties.state === 'closed' ? CLOSED_VALVE_HOLDS : 0;
      sums.held += left * shut;
      const out = left * (1 - shut);
      if (out <= 0) return;
      if (endOf(structure) === 'water') sums.toWater += out;
      else sendOn(at, minutes, out);
    },
  };
  const sendOn = (at: string, minutes: number, litres: number) => {
    const turned = inHand.find((each) => {
      const device = drainage.map.others.find(({ id }) => id === each.at);
      return device && isOfKind(device, 'diverter') && device.properties.at === at && minutes >= each.minutes;
    });
    const device = turned && drainage.map.others.find(({ id }) => id === turned.at);
    if (device && isOfKind(device, 'diverter')) {
      const { to } = device.properties;
      timetable.add({ minutes: minutes + overGround(at, to), litres, at: to, meets: 'chamber' });
      return;
    }
    let rest = litres;
    for (const way of waysFrom.get(at) ?? []) {
      const goes = litres * way.share;
      rest -= goes;
      const off = fill(way.ground, goes);
      sums.onGround += goes - off;
      // Crumbs wait for one another, so that a loop comes to an end.
      way.crumbs += off;
      if (way.crumbs < size * CRUMB) continue;
      timetable.add({
        minutes: minutes + way.minutes,
        litres: way.crumbs,
        at: way.to,
        meets: way.isOver ? 'grate' : 'chamber',
      });
      way.crumbs = 0;
    }
    sums.held += rest;
  };
  for (let parcel = timetable.next(); parcel; parcel = timetable.next()) {
    const place = places.get(parcel.at);
    if (place) meets[parcel.meets](place, parcel);
  }
  for (const { pump } of places.values()) sums.held += pump?.stands ?? 0;
  for (const { crumbs } of ways) sums.held += crumbs;
  return { entered, ...sums };
}

function endOf({ kind, properties }: Structure): 'water' | 'other' | null {
  if (kind === 'sanitary' || kind === 'edge') return 'other';
  if (kind !== 'outfall') return null;
  return /drain|sewer/i.test(properties.receives ?? '') ? 'other' : 'water';
}

/** Litres of oil that there is room for: endless but in a separator. */
function roomOf({ kind, properties }: Structure): number {
  if (kind !== 'separator') return Number.POSITIVE_INFINITY;
  if (properties.roomLitres !== undefined) return properties.roomLitres;
  if (properties.designFlowLps !== undefined) return LITRES_OF_ROOM_PER_LPS * properties.designFlowLps;
  const { lengthM, widthM, oilLimitMm = LEAST_OIL_MM } = properties;
  return lengthM !== undefined && widthM !== undefined ? lengthM * widthM * oilLimitMm : Number.POSITIVE_INFINITY;
}
