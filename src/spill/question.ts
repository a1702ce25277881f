import { type Drainage, type Release, releasesFrom } from '../drainage/index.ts';
import { type Fluid, hasErrors, type Problem, type Zone } from '../site-map/index.ts';
import { questionProblems } from './question-problems.ts';
import { type SpillPlace, type SpillStart, spillStart } from './start.ts';

/** What was spilled, where and when. */
export interface SpillQuestion {
  place: SpillPlace;
  /** Litres spilled in all; where it is still running, litres a minute. Above 0. */
  litres: number;
  /** Left out: what the map says of the zone. `unknown`: nobody knows, so it is met as gasoline until somebody says that it is none. */
  fluid?: Fluid | 'unknown';
  /** mm/h, 0 or more; left out, 0: dry. */
  rainMmPerH?: number;
  /** Minutes over which it runs out, above 0; left out, what the map says of the fluid, else 10. Not used where it is still running. */
  overMinutes?: number;
  /** It is still running, at `litres` a minute. */
  isStill?: boolean;
  /** Minutes from its start until it is taken to stop by itself, above 0; left out, 60. Only where it is still running. */
  untilMinutes?: number;
  /** Minutes since it began, 0 or more; left out, 0. */
  agoMinutes?: number;
}

/** Where a fact of a spill comes from: somebody said it, the map lists it, or nothing is known and it is a guess. */
export type FactFrom = 'said' | 'listed' | 'assumed';

/** A question with its defaults filled in, and the spill's start on the map. */
export interface PosedSpill {
  start: SpillStart;
  /** Litres in all. */
  litres: number;
  overMinutes: number;
  overFrom: FactFrom;
  isStill: boolean;
  rainMmPerH: number;
  agoMinutes: number;
  /** Null where nobody knows. */
  fluid: Fluid | null;
  fluidFrom: FactFrom;
  /** Whether gasoline's rule counts: nobody is sent to the oil. So it is for gasoline, and for what may be gasoline. */
  mayBeGasoline: boolean;
}

/** Minutes over which a spill runs out where neither somebody nor the map says. A guess. */
const DEFAULT_OVER_MINUTES = 10;
/** Minutes after which a spill that still runs is taken to stop. A guess. */
const DEFAULT_UNTIL_MINUTES = 60;

/** Puts a question together; `posed` is null with all problems that say why. O(corners + structures). */
export function poseSpill(
  { map }: Drainage,
  question: SpillQuestion,
): { posed: PosedSpill | null; problems: Problem[] } {
  const { start, problems: ofStart } = spillStart(map, question.place);
  const problems = [...ofStart, ...questionProblems(question)];
  if (!start || hasErrors(problems)) return { posed: null, problems };
  const { litres, isStill = false, rainMmPerH = 0, agoMinutes = 0 } = question;
  const known = fluidOf(start.zone, question.fluid);
  const over = isStill
    ? {
        overMinutes: question.untilMinutes ?? DEFAULT_UNTIL_MINUTES,
        overFrom: question.untilMinutes === undefined ? ('assumed' as const) : ('said' as const),
      }
    : minutesOf(start.zone, known.fluid, question.overMinutes);
  const posed: PosedSpill = {
    start,
    ...known,
    ...over,
    litres: isStill ? litres * over.overMinutes : litres,
    isStill,
    rainMmPerH,
    agoMinutes,
  };
  return { posed, problems };
}

/**
 * The fluid of a spill: as said, else the zone's only one. Of several the one of the largest container; where gasoline is
 * one of them, gasoline's rule counts. A zone that lists none: `other`, as assumed.
 */
function fluidOf(
  zone: Zone | null,
  said: Fluid | 'unknown' | undefined,
): Pick<PosedSpill, 'fluid' | 'fluidFrom' | 'mayBeGasoline'> {
  if (said === 'unknown') return { fluid: null, fluidFrom: 'said', mayBeGasoline: true };
  if (said !== undefined) return { fluid: said, fluidFrom: 'said', mayBeGasoline: said === 'gasoline' };
  const listed = zone?.properties.fluids ?? [];
  if (listed.length === 0) return { fluid: 'other', fluidFrom: 'assumed', mayBeGasoline: false };
  if (listed.length === 1)
    return { fluid: listed[0].fluid, fluidFrom: 'listed', mayBeGasoline: listed[0].fluid === 'gasoline' };
  if (listed.some(({ fluid }) => fluid === 'gasoline'))
    return { fluid: null, fluidFrom: 'assumed', mayBeGasoline: true };
  const [largest] = [...listed].sort((a, b) => (b.largestLitres ?? 0) - (a.largestLitres ?? 0));
  return { fluid: largest.fluid, fluidFrom: 'assumed', mayBeGasoline: false };
}

function minutesOf(
  zone: Zone | null,
  fluid: Fluid | null,
  said: number | undefined,
): Pick<PosedSpill, 'overMinutes' | 'overFrom'> {
  if (said !== undefined) return { overMinutes: said, overFrom: 'said' };
  const listed = zone?.properties.fluids?.find((each) => each.fluid === fluid)?.overMinutes;
  return listed === undefined
    ? { overMinutes: DEFAULT_OVER_MINUTES, overFrom: 'assumed' }
    : { overMinutes: listed, overFrom: 'listed' };
}

/**
 * How the oil of a spill gets to each of its inlets: spread evenly over the minutes in which it runs out, and over the
 * inlets by their shares. O(inlets).
 */
export function releasesOf({ start: { zone, waysIn }, litres, overMinutes, fluid, rainMmPerH }: PosedSpill): Release[] {
  return releasesFrom(zone, waysIn, litres / (overMinutes * 60), { fluid, isDry: rainMmPerH === 0 });
}
