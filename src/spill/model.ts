import { amountAt, type Curve, evenly, NOTHING, past, totalOf, until } from '../algorithms/index.ts';
import { type Arrivals, arrivalTimes, type Drainage } from '../drainage/index.ts';
import { CONTROLS, isOfKind, type Link, type Structure } from '../site-map/index.ts';
import {
  type Acting,
  type Course,
  type Followed,
  firstEntries,
  follow,
  overTheGround,
  type Stay,
  staysOf,
} from './follow.ts';
import { type Layout, layOut } from './layout.ts';
import type { PlacedControl, SpillLitres } from './placed.ts';
import { type PosedSpill, releasesOf } from './question.ts';

/** What may be known of a spill beside the question. */
export interface ModelFacts {
  /** Litres of room in a separator by its last reading; undefined where none is known. */
  roomOf?: (separator: string) => number | undefined;
}

/** A spill laid out on the map, ready to be followed with any controls in place. */
export interface SpillModel {
  drainage: Drainage;
  posed: PosedSpill;
  arrivals: Arrivals;
  layout: Layout;
  /**
   * What becomes of the oil with these controls in place. `countsGround` false leaves out what dry ground keeps, as plans
   * do: nobody counts on it. Controls at what the spill cannot reach do nothing. O(ways × points of a curve).
   */
  run(placed: readonly PlacedControl[], options?: { countsGround?: boolean }): SpillRun;
}

/** What becomes of a spill with some controls in place. Minutes count from the start of the release. */
export interface SpillRun {
  placed: readonly PlacedControl[];
  /** Litres that get into water; into somebody else's drain, also those that go on from it into water; past the spill's own grates. */
  toWater: number;
  toPublicDrain: number;
  pastGrates: number;
  /** Litres that enter a structure's chamber in the end; in a loop as often as they do. 0 for one that is not reached. */
  enteredAt(structure: string): number;
  /** What enters it by when. */
  curveAt(structure: string): Curve;
  /** Each litre once: what first enters a structure by when, also in a loop. */
  firstEntries(): readonly Curve[];
  /** Structures and links that more than so many litres get into. */
  fouled(overLitres: number): { item: Structure | Link; litres: number }[];
  /** Where all litres are in the end. */
  litres(): SpillLitres;
  /** Where they are at a minute. */
  at(minutes: number): SpillLitres;
  /** The same with one control more. Only what lies below it is followed anew. */
  with(control: PlacedControl): SpillRun;
}

/** A loop of more structures is not gone through for each of them to tell litres once. */
const MOST_LOOP_PLACES = 40;

/** Lays a spill out on the map. O(edges), and for what is reached O(ways × points of a curve). */
export function spillModel(
  drainage: Drainage,
  posed: PosedSpill,
  { roomOf = () => undefined }: ModelFacts = {},
): SpillModel {
  const { rainMmPerH, fluid, litres, overMinutes } = posed;
  const releases = releasesOf(posed);
  const arrivals = arrivalTimes(drainage, releases, { rainMmPerH, fluid });
  const shares = new Map(posed.start.waysIn.map(({ to, share }) => [to, share]));
  const layout = layOut(drainage, {
    arrivals,
    ground: releases.map(({ structure, likelyMinutes, filmMinutes, keepsLitres }) => ({
      structure,
      share: shares.get(structure) ?? 0,
      minutes: likelyMinutes,
      filmMinutes,
      keepsLitres,
    })),
    isDry: rainMmPerH === 0,
    roomOf,
  });
  const course: Course = { layout, steps: new Float64Array(layout.reached.length), isSettled: false };
  const facts = { course, drainage, posed, released: evenly(litres, overMinutes) };
  runWith(facts, [], { countsGround: true });
  const settled = { ...facts, course: { ...course, isSettled: true } };
  return {
    drainage,
    posed,
    arrivals,
    layout,
    run: (placed, { countsGround = true } = {}) => runWith(settled, placed, { countsGround }),
  };
}

interface RunFacts {
  course: Course;
  drainage: Drainage;
  posed: PosedSpill;
  released: Curve;
}

/** Controls that act before the oil gets to a grate: at the source, and on the zone's own ground. */
const AT_SOURCE = ['fuel-stop', 'berm', 'absorb'];

function runWith(
  facts: RunFacts,
  placed: readonly PlacedControl[],
  { countsGround }: { countsGround: boolean },
): SpillRun {
  const { onto } = atSource(facts, placed, countsGround);
  const acting = actingOf(facts, placed);
  return readRun(facts, { placed, acting, countsGround, found: follow(facts.course, onto, { acting, countsGround }) });
}

/** What comes onto the grates when the source, and the ground, have been seen to; and where the rest of it is. */
function atSource(
  { course, released, posed, drainage }: RunFacts,
  placed: readonly PlacedControl[],
  countsGround: boolean,
) {
  const zone = posed.start.zone?.id;
  const stays: Stay[] = [];
  let left = released;
  for (const { control, at, minutes, holds, litres } of inOrder(placed)) {
    if (!AT_SOURCE.includes(control)) continue;
    const came = left;
    if (control !== 'fuel-stop') {
      if (at === zone) left = past(came, { from: minutes, part: holds, most: litres });
    } else if (zone !== undefined && stoppedBy(drainage, at).includes(zone)) left = until(came, minutes);
    if (came !== left) stays.push({ where: 'kept', came, left });
  }
  const onto = overTheGround(course.layout, left, countsGround, (where, came, end) =>
    stays.push({ where, came, left: end }),
  );
  return { onto, stays };
}

const inOrder = (placed: readonly PlacedControl[]) =>
  [...placed].sort((a, b) => CONTROLS.indexOf(a.control) - CONTROLS.indexOf(b.control));

/** Ids that a fuel stop or a pump switch turns off. */
function stoppedBy({ map }: Drainage, device: string): readonly string[] {
  const found = map.others.find(({ id }) => id === device);
  return found && isOfKind(found, 'fuel-stop', 'pump-switch') ? found.properties.stops : [];
}

/** Numbers of the structures at which a control acts. */
function numbersOf({ course, drainage }: RunFacts, { control, at }: PlacedControl): number[] {
  const { numberOf } = course.layout;
  const ids =
    control === 'pump-switch' ? stoppedBy(drainage, at) : [control === 'diverter' ? standsAt(drainage, at) : at];
  return ids.flatMap((id) => numberOf.get(id) ?? []);
}

function standsAt({ map }: Drainage, diverter: string): string {
  const found = map.others.find(({ id }) => id === diverter);
  return found && isOfKind(found, 'diverter') ? found.properties.at : '';
}

function actingOf(facts: RunFacts, placed: readonly PlacedControl[]): Acting {
  const acting = new Map<number, PlacedControl[]>();
  for (const each of inOrder(placed)) {
    if (AT_SOURCE.includes(each.control)) continue;
    for (const number of numbersOf(facts, each)) acting.set(number, [...(acting.get(number) ?? []), each]);
  }
  return acting;
}

interface Ran {
  placed: readonly PlacedControl[];
  acting: Acting;
  countsGround: boolean;
  found: Followed;
}

const sum = (numbers: Float64Array) => {
  let total = 0;
  for (const each of numbers) total += each;
  return total;
};

function readRun(facts: RunFacts, ran: Ran): SpillRun {
  const { layout } = facts.course;
  const { placed, found, acting, countsGround } = ran;
  const curveAt = (structure: string) => {
    const number = layout.numberOf.get(structure);
    return number === undefined ? NOTHING : found.entered[number];
  };
  let stays: Stay[] | null = null;
  const allStays = () => {
    stays ??= [
      ...atSource(facts, placed, countsGround).stays,
      ...staysOf(facts.course, found, { acting, countsGround }),
    ];
    return stays;
  };
  return {
    placed,
    toWater: sum(found.water),
    toPublicDrain: sum(found.publicDrain),
    pastGrates: sum(found.past),
    enteredAt: (structure) => totalOf(curveAt(structure)),
    curveAt,
    firstEntries: () => firstEntries(facts.course, found, { acting, mostPlaces: MOST_LOOP_PLACES }),
    fouled: (overLitres) => fouledIn(facts, found, overLitres),
    litres: () => whereabouts(totalOf(facts.released), allStays(), totalOf),
    at: (minutes) => whereabouts(amountAt(facts.released, minutes), allStays(), (curve) => amountAt(curve, minutes)),
    with: (control) => runAlso(facts, ran, control),
  };
}

function runAlso(facts: RunFacts, { placed, found, countsGround }: Ran, control: PlacedControl): SpillRun {
  const all = [...placed, control];
  const isSource = AT_SOURCE.includes(control.control);
  const onto = isSource ? atSource(facts, all, countsGround).onto : found.onto;
  const acting = actingOf(facts, all);
  const changed = isSource ? facts.course.layout.ground.map(({ to }) => to) : numbersOf(facts, control);
  return readRun(facts, {
    placed: all,
    acting,
    countsGround,
    found: follow(facts.course, onto, { acting, base: found, changed, countsGround }),
  });
}

/** Sums up where litres are, by what came and what left each part of the way. */
function whereabouts(released: number, stays: readonly Stay[], litresOf: (curve: Curve) => number): SpillLitres {
  const litres = { released, kept: 0, held: 0, onGround: 0, toWater: 0, toPublicDrain: 0, moving: 0 };
  for (const { where, came, left } of stays) litres[where] += litresOf(came) - litresOf(left);
  return litres;
}

function fouledIn({ course, drainage }: RunFacts, { entered, along }: Followed, overLitres: number) {
  const { layout } = course;
  const fouled: { item: Structure | Link; litres: number }[] = [];
  layout.reached.forEach(({ structure }, number) => {
    const litres = totalOf(entered[number]);
    if (litres > overLitres) fouled.push({ item: structure, litres });
  });
  layout.ways.forEach(({ edge }, way) => {
    const link = edge < 0 ? null : drainage.linkAt[edge];
    const litres = along[way];
    if (link && litres > overLitres) fouled.push({ item: link, litres });
  });
  return fouled;
}
