import {
  bothOf,
  type Curve,
  later,
  NOTHING,
  onGrid,
  partOf,
  past,
  pumped,
  restOf,
  totalOf,
  until,
} from '../algorithms/index.ts';
import type { Control } from '../site-map/index.ts';
import type { Layout, Reached, Way } from './layout.ts';
import type { PlacedControl } from './placed.ts';

/** What becomes of litres. */
export type Whereabouts = 'kept' | 'held' | 'onGround' | 'moving' | 'toWater' | 'toPublicDrain';

/** What came into some part of the way, and what has left it: the difference is there. */
export interface Stay {
  where: Whereabouts;
  came: Curve;
  left: Curve;
}

/** The oil of a spill, followed to the end. Arrays of curves and litres are by number of structure, `ends` by way. */
export interface Followed {
  /** What comes over the ground to each grate, what gets into the chamber below, and what comes out of each way. */
  onto: readonly Curve[];
  entered: Curve[];
  ends: Curve[];
  /** Litres that get into each way. */
  along: Float64Array;
  /** Litres past each of the spill's own grates; 0 elsewhere. */
  past: Float64Array;
  /** Litres that get into water at each structure. */
  water: Float64Array;
  /** Litres that get into somebody else's drain at each structure, from what is not one. */
  publicDrain: Float64Array;
}

/** Controls by the number of the structure at which they act, in the order in which the oil meets them. */
export type Acting = ReadonlyMap<number, readonly PlacedControl[]>;

/** What is followed through the layout. */
export interface Course {
  layout: Layout;
  /** Minutes between the points of a curve that would have too many, by number of structure; 0: as it is. */
  steps: Float64Array;
  /** Whether the steps stand: the first pass sets them, so that all later ones can be held against each other. */
  isSettled: boolean;
}

/** A structure's curve with more points than this is kept on a grid of so many steps, each at least so many minutes long. */
const MOST_POINTS = 256;
const LEAST_STEP_MINUTES = 0.1;
/** Oil in a loop goes round until less than this moves, in litres, or so many times. */
const LEAST_LITRES = 1e-7;
const MOST_ROUNDS = 200;

const ALWAYS = Number.NEGATIVE_INFINITY;
const NO_LIMIT = Number.POSITIVE_INFINITY;
/** A valve that the map says is closed holds as well as one that somebody closes. A guess. */
const CLOSED_HOLDS = 0.99;

/** Whether a grate, or a chamber, is where a control acts. */
const AT_GRATE: readonly Control[] = ['sock', 'cover'];
const IN_CHAMBER: readonly Control[] = ['boom', 'plug', 'valve'];

/** Where oil stands that is followed, and who wants to know where it stays. */
interface Pass {
  course: Course;
  acting: Acting;
  now: Followed;
  note: (where: Whereabouts, came: Curve, left: Curve) => void;
  countsGround: boolean;
  /** From this structure nothing is sent on; -1 for none. */
  cutAt: number;
}

const NOT_NOTED = () => {};

/** What comes over the ground to each grate, when so much is let go in the zone. */
export function overTheGround(
  { reached, ground }: Layout,
  released: Curve,
  countsGround: boolean,
  note: Pass['note'] = NOT_NOTED,
): Curve[] {
  const onto = reached.map(() => NOTHING);
  let rest = 1;
  for (const { to, share, ...way } of ground) {
    const came = partOf(released, share);
    const end = overWay(came, way, countsGround);
    note('onGround', came, end);
    onto[to] = bothOf(onto[to], end);
    rest -= share;
  }
  // What drains nowhere that the map knows of stays where it is.
  if (rest > 1e-12) note('onGround', partOf(released, rest), NOTHING);
  return onto;
}

/**
 * Follows what comes onto the grates through everything below, with some controls in place. With `base`, an outcome of
 * the same course, only what can differ from it is followed anew: from `changed` (numbers of structures) downwards.
 * O(ways × points of a curve), in a loop times its rounds.
 */
export function follow(
  course: Course,
  onto: readonly Curve[],
  {
    acting,
    base,
    changed,
    countsGround = true,
  }: { acting: Acting; base?: Followed; changed?: readonly number[]; countsGround?: boolean },
): Followed {
  const { layout } = course;
  const count = layout.reached.length;
  const now: Followed = base
    ? {
        onto,
        entered: [...base.entered],
        ends: [...base.ends],
        along: base.along.slice(),
        past: base.past.slice(),
        water: base.water.slice(),
        publicDrain: base.publicDrain.slice(),
      }
    : {
        onto,
        entered: layout.reached.map(() => NOTHING),
        ends: layout.ways.map(() => NOTHING),
        along: new Float64Array(layout.ways.length),
        past: new Float64Array(count),
        water: new Float64Array(count),
        publicDrain: new Float64Array(count),
      };
  const pass: Pass = { course, acting, now, note: NOT_NOTED, cutAt: -1, countsGround };
  const isDue = new Uint8Array(count).fill(base ? 0 : 1);
  for (const number of changed ?? []) isDue[number] = 1;
  let loop = 0;
  for (let number = 0; number < count; ) {
    const { first, end } =
      layout.loops[loop]?.first === number ? layout.loops[loop++] : { first: number, end: number + 1 };
    if (isDue.subarray(first, end).includes(1)) {
      if (end - first > 1) goRound(pass, { first, end });
      else passThrough(pass, number);
      for (let from = first; from < end; from++)
        for (const way of waysOf(layout.out, from)) isDue[layout.ways[way].to] = 1;
    }
    number = end;
  }
  return now;
}

const waysOf = ({ rows, edges }: Layout['out'], number: number) => edges.subarray(rows[number], rows[number + 1]);

/**
 * A loop is gone round until hardly anything moves. Each round starts from what the one before sent along the ways
 * inside, from nothing at first, so what comes by any minute only rises, and every litre is in the curves once.
 */
function goRound(pass: Pass, { first, end }: { first: number; end: number }): void {
  const { layout } = pass.course;
  const { ends } = pass.now;
  const inside: number[] = [];
  for (let number = first; number < end; number++)
    for (const way of waysOf(layout.out, number)) if (layout.ways[way].to < end) inside.push(way);
  for (const way of inside) ends[way] = NOTHING;
  let moved = Number.POSITIVE_INFINITY;
  for (let round = 0; round < MOST_ROUNDS && moved > LEAST_LITRES; round++) {
    const before = inside.map((way) => totalOf(ends[way]));
    for (let number = first; number < end; number++) passThrough(pass, number);
    moved = inside.reduce((sum, way, at) => sum + totalOf(ends[way]) - before[at], 0);
  }
}

/** One structure: what comes in by all ways, what stays, and what goes out by each. */
function passThrough(pass: Pass, number: number): void {
  const { course, now, acting } = pass;
  const at = course.layout.reached[number];
  const controls = acting.get(number) ?? [];
  now.publicDrain[number] = 0;
  const { over, piped } = comesTo(pass, number);
  const below = pastGrate(pass, at, { over, controls });
  now.past[number] = at.isOwnGrate ? totalOf(below) : 0;
  if (at.isPublic) {
    now.publicDrain[number] = totalOf(below);
    note(pass, 'toPublicDrain', below, NOTHING);
  }
  const entered = bothOf(below, piped);
  now.entered[number] = entered;
  const left = pastChamber(pass, at, { entered, controls });
  now.water[number] = at.end === 'water' ? totalOf(left) : 0;
  if (at.end === 'water') note(pass, 'toWater', left, NOTHING);
  if (at.end === null) sendOn(pass, number, { left, controls });
}

const note = ({ note: tell }: Pass, where: Whereabouts, came: Curve, left: Curve) => {
  if (tell !== NOT_NOTED && came !== left) tell(where, came, left);
};

/**
 * What comes to a structure, over the surface and by pipe; on a grid where it would have too many points. There it is
 * never put together point by point: on a mesh that is most of the work.
 */
function comesTo(pass: Pass, number: number): { over: Curve; piped: Curve } {
  const { course, now } = pass;
  const { layout, steps, isSettled } = course;
  const [over, piped]: [Curve[], Curve[]] = [[now.onto[number]], []];
  for (const way of waysOf(layout.into, number)) (layout.ways[way].isOverSurface ? over : piped).push(now.ends[way]);
  if (steps[number] === 0) {
    const exact = { over: over.reduce(bothOf), piped: piped.reduce(bothOf, NOTHING) };
    const flows = [exact.over.minutes, exact.piped.minutes];
    if (isSettled || flows[0].length + flows[1].length <= MOST_POINTS) return exact;
    const span = Math.max(...flows.map((minutes) => (minutes.at(-1) ?? 0) - (minutes[0] ?? 0)));
    steps[number] = Math.max(LEAST_STEP_MINUTES, span / MOST_POINTS);
  }
  const kept = { over: onGrid(over, steps[number]), piped: onGrid(piped, steps[number]) };
  // Between two points of the grid what has come is told a little late or soon: until then it is on its way.
  noteOnGrid(pass, over, kept.over);
  if (!layout.reached[number].isPublic) noteOnGrid(pass, piped, kept.piped);
  return kept;
}

function noteOnGrid(pass: Pass, came: readonly Curve[], kept: Curve): void {
  for (const each of came) note(pass, 'moving', each, NOTHING);
  note(pass, 'moving', NOTHING, kept);
}

/** What of that gets past the grate: past a sock, a cover and an insert. */
function pastGrate(
  pass: Pass,
  { insert, runsOn }: Reached,
  { over, controls }: { over: Curve; controls: readonly PlacedControl[] },
): Curve {
  let left = over;
  let ranOn = NOTHING;
  for (const { control, minutes, holds, litres } of controls) {
    if (!AT_GRATE.includes(control)) continue;
    const came = left;
    left = past(came, { from: minutes, part: holds, most: litres });
    // What a cover keeps where the ground falls on runs over it to the next grate.
    if (control === 'cover' && runsOn >= 0) ranOn = restOf(came, left);
    else note(pass, 'kept', came, left);
  }
  if (runsOn >= 0) alongWay(pass, runsOn, ranOn);
  if (!insert) return left;
  const caught = past(left, { from: ALWAYS, part: insert.holds, most: insert.litres });
  note(pass, 'held', left, caught);
  return caught;
}

/** What leaves the chamber: what its own build holds is taken off, and it comes later; then come the controls in it. */
function pastChamber(
  pass: Pass,
  at: Reached,
  { entered, controls }: { entered: Curve; controls: readonly PlacedControl[] },
): Curve {
  if (at.end === 'public') return entered;
  const tell = (where: Whereabouts, came: Curve, left: Curve) => {
    if (!at.isPublic) note(pass, where, came, left);
  };
  let left = entered;
  if (at.end === null) {
    left = past(left, { from: ALWAYS, part: 1, most: at.sumpLitres });
    left = past(left, { from: ALWAYS, part: at.holds, most: at.roomLitres });
    tell('held', entered, left);
    const waited = later(left, at.waitMinutes);
    tell('moving', left, waited);
    left = pastPump(at, { came: waited, controls, tell });
  }
  for (const { control, minutes, holds, litres } of controls) {
    if (!IN_CHAMBER.includes(control)) continue;
    const came = left;
    left = past(came, { from: minutes, part: holds, most: litres });
    tell('kept', came, left);
  }
  if (!at.isClosed) return left;
  const closed = past(left, { from: ALWAYS, part: CLOSED_HOLDS, most: NO_LIMIT });
  tell('held', left, closed);
  return closed;
}

function pastPump(
  { pump }: Reached,
  { came, controls, tell }: { came: Curve; controls: readonly PlacedControl[]; tell: Pass['note'] },
): Curve {
  if (!pump) return came;
  const out = pumped(came, pump);
  const off = Math.min(
    NO_LIMIT,
    ...controls.flatMap(({ control, minutes }) => (control === 'pump-switch' ? minutes : [])),
  );
  const left = until(out, off);
  tell('held', came, out);
  tell('kept', out, left);
  return left;
}

/** Divides what leaves a structure over its ways. */
function sendOn(
  pass: Pass,
  number: number,
  { left, controls }: { left: Curve; controls: readonly PlacedControl[] },
): void {
  const { layout } = pass.course;
  const { diverts, isPublic, runsOn } = layout.reached[number];
  const turned = diverts ? controls.find(({ control, at }) => control === 'diverter' && diverts.has(at)) : undefined;
  const straight = pass.cutAt === number ? NOTHING : turned ? until(left, turned.minutes) : left;
  let rest = 1;
  for (const way of waysOf(layout.out, number)) {
    if (way === runsOn) continue;
    const { share } = layout.ways[way];
    rest -= share;
    const isTurnedTo = turned !== undefined && diverts?.get(turned.at) === way;
    alongWay(pass, way, isTurnedTo ? restOf(left, straight) : partOf(straight, share));
  }
  // Where no way leads on, what a structure does not hold stays in it too.
  if (!isPublic && rest > 1e-12) note(pass, 'held', partOf(straight, rest), NOTHING);
}

/**
 * What comes out of a way: less what the ground keeps, if that is counted on, and later. Where it is not, oil still is no
 * faster than its film.
 */
function overWay(
  came: Curve,
  { minutes, filmMinutes, keepsLitres }: Pick<Way, 'minutes' | 'filmMinutes' | 'keepsLitres'>,
  countsGround: boolean,
): Curve {
  if (!countsGround) return later(came, filmMinutes);
  return later(past(came, { from: ALWAYS, part: 1, most: keepsLitres }), minutes);
}

/** Along one way: less what the ground under it keeps, and later; past a border it is told whose it is. */
function alongWay(pass: Pass, way: number, came: Curve): void {
  const { ways, reached } = pass.course.layout;
  const { from, to, isOverSurface, isPublic } = ways[way];
  const end = overWay(came, ways[way], pass.countsGround);
  pass.now.ends[way] = end;
  pass.now.along[way] = totalOf(came);
  const isFromPublic = reached[from].isPublic && way !== reached[from].runsOn;
  // Over the surface oil gets into a public structure only past its grate, which is told there.
  const isToPublic = reached[to].isPublic && !isOverSurface;
  const isInPublic = isPublic || (isFromPublic && reached[to].isPublic);
  if (!isInPublic) note(pass, isOverSurface ? 'onGround' : 'moving', came, end);
  crosses(pass, { from, isOut: isFromPublic, isIn: isInPublic, flow: came });
  crosses(pass, { from, isOut: isInPublic, isIn: isToPublic, flow: end });
}

/** Oil that gets into somebody else's drain, or comes back out of it. */
function crosses(
  pass: Pass,
  { from, isOut, isIn, flow }: { from: number; isOut: boolean; isIn: boolean; flow: Curve },
): void {
  if (isOut === isIn) return;
  if (isIn) {
    pass.now.publicDrain[from] += totalOf(flow);
    note(pass, 'toPublicDrain', flow, NOTHING);
  } else note(pass, 'toPublicDrain', NOTHING, flow);
}

/**
 * Where all litres are at the end of a pass: the same pass once more, over what it found, telling of each part what came
 * and what left. What a loop without a way out sends round for ever counts as held.
 */
export function staysOf(
  course: Course,
  found: Followed,
  { acting, countsGround = true }: { acting: Acting; countsGround?: boolean },
): Stay[] {
  const { layout } = course;
  const stays: Stay[] = [];
  const now: Followed = { ...found, ends: [...found.ends], entered: [...found.entered] };
  const pass: Pass = {
    course,
    acting,
    now,
    countsGround,
    cutAt: -1,
    note: (where, came, left) => void stays.push({ where, came, left }),
  };
  for (const number of layout.reached.keys()) passThrough(pass, number);
  layout.ways.forEach(({ from, to }, way) => {
    if (to <= from) stays.push({ where: 'held', came: now.ends[way], left: found.ends[way] });
  });
  return stays;
}

/**
 * What first gets to each structure of a loop, each litre once: what comes to it when nothing is sent on from it. For
 * structures outside loops that is what enters. In loops of many structures, where this would take long, what enters is
 * told as it is. O(structures of the loop × its rounds) for each of them.
 */
export function firstEntries(
  course: Course,
  found: Followed,
  { acting, mostPlaces }: { acting: Acting; mostPlaces: number },
): readonly Curve[] {
  const first = [...found.entered];
  for (const loop of course.layout.loops) {
    if (loop.end - loop.first > mostPlaces) continue;
    for (let number = loop.first; number < loop.end; number++) {
      const now: Followed = { ...found, ends: [...found.ends], entered: [...found.entered] };
      goRound({ course, acting, now, countsGround: true, cutAt: number, note: NOT_NOTED }, loop);
      first[number] = now.entered[number];
    }
  }
  return first;
}
