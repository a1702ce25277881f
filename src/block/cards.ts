import type { Told } from '../catalogue/index.ts';
import type { Drainage } from '../drainage/index.ts';
import { type Fluid, type Problem, type SiteMap, walkerPosition, walkingGround, type Zone } from '../site-map/index.ts';
import {
  deadliest,
  farShutOff,
  findSpill,
  fluidAdvice,
  type LargestContainer,
  largestContainer,
  type SpillAnswer,
  type SpillDanger,
  safetyFor,
} from '../spill/index.ts';
import type { BlockAnswer, BlockQuestion, PlannedControl } from './answer.ts';
import { findBlocks } from './block.ts';
import { kitsOf } from './kits-stock.ts';
import { HERE } from './who.ts';

/** Rain that a card answers for beside dry weather, in mm/h, where nobody says otherwise: a heavy shower, a guess. */
export const DESIGN_RAIN_MM_PER_H = 25;

export interface CardOptions {
  /** Litres spilled, above 0; left out, the largest container of the fluids that are planned for. */
  litres?: number;
  /** mm/h of the rain that the card answers for beside dry weather, above 0; left out, 25. */
  rainMmPerH?: number;
}

/** When oil is at a structure in one weather, minutes from the spill; null where it never is, or the place is no structure. */
export interface CardTiming {
  soonestMinutes: number | null;
  /** Never before `soonestMinutes`; null also where likely none gets there. */
  likelyMinutes: number | null;
}

/** One control to place, with its number on the card and on its map. */
export interface CardStep extends Pick<PlannedControl, 'at' | 'control' | 'kit' | 'hand' | 'crewMinutes' | 'needs'> {
  /** 1, 2, 3 …; a control that the card names twice keeps its number. */
  ring: number;
  /** What protects people, ahead of the step, for the deadliest fluid that the plan is for. */
  before: Told[];
  dry: CardTiming;
  rain: CardTiming;
}

/** What some hands do: the plan in both weathers. */
export interface CardColumn {
  dry: BlockAnswer;
  rain: BlockAnswer;
  steps: CardStep[];
  /** The steps in rain, where they are others, or by other hands, than in dry weather; else empty. */
  inRain: CardStep[];
}

/** The kit nearest to a zone, on foot from the zone's middle. */
export interface NearestKit {
  id: string;
  minutes: number;
}

/** What stands on a zone's card, apart from words. */
export interface ResponseCard {
  zone: Zone;
  /** What the head of the card goes by: the deadliest fluid of the zone, or what nobody has named. */
  danger: SpillDanger;
  /** Words of safety: ahead of everything, and beside the plan. */
  safety: { first: Told[]; always: Told[] };
  /** Whether the steps count only when somebody has said for sure that it is no gasoline. */
  isUntilNamed: boolean;
  litres: number;
  /** What the litres rest on: the caller, the largest container of `largestOf`, or nothing but a default. */
  litresFrom: 'asked' | 'largest' | 'default';
  largestOf: Fluid | null;
  rainMmPerH: number;
  /** Where the oil goes. */
  dry: SpillAnswer;
  rain: SpillAnswer;
  /** Whoever is at the spill, with nobody else; null while time is not counted. */
  alone: CardColumn | null;
  /** Everybody that the map has, as `findBlocks` takes it where nobody is named. */
  all: CardColumn;
  /** What to do where the first step turns out not to be possible; empty where nothing is. */
  ifNot: CardStep[];
  /** When likely all of it has gone past the grates, minutes from the spill, and what is still to do then. */
  ifPast: { minutes: number; steps: CardStep[] };
  nearestKit: NearestKit | null;
}

/** Ground that nobody works on: where it lists no fluid, a spill there is no plan's first thought. */
const NOT_WORKED_ON: readonly Zone['properties']['activity'][] = ['roof', 'landscape'];

/** The zones that get a card: all but roofs and verges, which get one only where the map keeps a fluid there. O(zones). */
export const zonesWithCards = ({ zones }: Pick<SiteMap, 'zones'>): Zone[] =>
  zones.filter(({ properties: { activity, fluids = [] } }) => fluids.length > 0 || !NOT_WORKED_ON.includes(activity));

/**
 * The response card of a zone: what to do when oil is spilled there, worked out ahead for the largest container, dry and
 * in a heavy shower, by whoever is there alone and by everybody. `card` is null with the problem that says why: no zone
 * has that id. Six times the cost of `findBlocks` and twice that of `findSpill`. Where gasoline is among several fluids, or
 * nobody has named any, the plan is for the others, and `isUntilNamed`; for gasoline alone there is none.
 */
export function responseCard(
  drainage: Drainage,
  zoneId: string,
  { litres, rainMmPerH = DESIGN_RAIN_MM_PER_H }: CardOptions = {},
): { card: ResponseCard | null; problems: Problem[] } {
  const { map } = drainage;
  const zone = map.zones.find(({ id }) => id === zoneId);
  const largest = zone ? largestPlanned(zone) : null;
  const question = {
    place: { zone: zoneId },
    // Of a zone that is not on the map only that is said, not that nothing is no amount.
    litres: litres ?? largest?.litres ?? 1,
    fluid: largest?.fluid ?? undefined,
  };
  const [dry, rain] = [0, rainMmPerH].map((mmPerH) => findSpill(drainage, { ...question, rainMmPerH: mmPerH }));
  if (!zone || !largest || !dry.answer || !rain.answer) return { card: null, problems: dry.problems };
  const facts = {
    ...{ drainage, zone, question, rainMmPerH, ring: ringsByKey() },
    ...{ dry: dry.answer, rain: rain.answer },
  };
  const plans = plansOf(facts);
  const card: ResponseCard = {
    ...{ zone, ...safetyOf(map, zone), litres: question.litres, rainMmPerH },
    litresFrom: litres !== undefined ? 'asked' : largest.fluid ? 'largest' : 'default',
    largestOf: largest.fluid,
    ...{ dry: dry.answer, rain: rain.answer, ...plans },
    nearestKit: nearestKit(map, zoneId),
  };
  return { card, problems: [] };
}

const isNotGasoline = ({ fluid }: { fluid: Fluid }) => fluid !== 'gasoline';

/** The largest container that a plan can be made for: of gasoline only where there is nothing else. */
function largestPlanned(zone: Zone): LargestContainer {
  const { fluids = [] } = zone.properties;
  const others = fluids.filter(isNotGasoline);
  if (others.length === 0) return largestContainer(zone);
  return largestContainer({ ...zone, properties: { ...zone.properties, fluids: others } });
}

interface CardFacts {
  drainage: Drainage;
  zone: Zone;
  question: BlockQuestion;
  rainMmPerH: number;
  ring: (step: Pick<PlannedControl, 'at' | 'control'>) => number;
  dry: SpillAnswer;
  rain: SpillAnswer;
}

type Plans = Pick<ResponseCard, 'alone' | 'all' | 'ifNot' | 'ifPast'>;

function plansOf(facts: CardFacts): Plans {
  const { question, dry } = facts;
  const everybody = planned(facts, {});
  const here = everybody.hands.filter(({ id }) => id === HERE);
  // Numbers run first through what is done first.
  const alone = everybody.isTimed && here.length > 0 ? columnOf(facts, { hands: here }) : null;
  const all = columnOf(facts, {});
  const { dry: answer, steps } = alone ?? all;
  const [first] = steps;
  const again = (more: Partial<BlockQuestion>) => {
    const after = planned(facts, more);
    return after.plan.controls.map((step) => stepOf(facts, { step, dry: after, rain: null }));
  };
  const lasts = dry.arrivals.flatMap(({ id, likely }) => (likely && dry.inlets.includes(id) ? [likely.last] : []));
  const minutes = Math.ceil(Math.max(dry.spill.overMinutes, ...lasts));
  return {
    ...{ alone, all },
    ifNot: first
      ? again({ ...(alone ? { hands: answer.hands } : {}), ruledOut: [{ at: first.at, control: first.control }] })
      : [],
    // Where no plan is made there is none later.
    ifPast: { minutes, steps: first ? again({ ...question, agoMinutes: minutes }) : [] },
  };
}

/** One plan: the zone is on the map, so there is always one. */
function planned({ drainage, question }: CardFacts, more: Partial<BlockQuestion>): BlockAnswer {
  const { answer, problems } = findBlocks(drainage, { ...question, ...more });
  if (!answer) throw new Error(JSON.stringify(problems));
  return answer;
}

function columnOf(facts: CardFacts, more: Partial<BlockQuestion>): CardColumn {
  const dry = planned(facts, more);
  const rain = planned(facts, { ...more, rainMmPerH: facts.rainMmPerH });
  const stepsOf = ({ plan }: BlockAnswer) => plan.controls.map((step) => stepOf(facts, { step, dry, rain }));
  const steps = stepsOf(dry);
  const keys = new Set(dry.plan.controls.map(doneBy));
  const isSame = rain.plan.controls.length === keys.size && rain.plan.controls.every((step) => keys.has(doneBy(step)));
  return { dry, rain, steps, inRain: isSame ? [] : stepsOf(rain) };
}

const keyOf = ({ at, control }: Pick<PlannedControl, 'at' | 'control'>) => `${control} ${at}`;
const doneBy = (step: PlannedControl) => `${keyOf(step)} ${step.hand}`;

function ringsByKey(): CardFacts['ring'] {
  const rings: string[] = [];
  return (step) => {
    const key = keyOf(step);
    if (!rings.includes(key)) rings.push(key);
    return rings.indexOf(key) + 1;
  };
}

function stepOf(
  { drainage, zone, ring, dry: drySpill, rain: rainSpill }: CardFacts,
  { step, dry, rain }: { step: PlannedControl; dry: BlockAnswer; rain: BlockAnswer | null },
): CardStep {
  const { at, control, kit, hand, crewMinutes, needs } = step;
  return {
    ...{ ring: ring(step), at, control, kit, hand, crewMinutes, needs, before: beforeStep(drainage, zone, step) },
    dry: timingAt(step, drySpill, dry),
    rain: timingAt(step, rainSpill, rain ?? dry),
  };
}

function timingAt(
  { at, control }: PlannedControl,
  { arrivals }: SpillAnswer,
  { singles, plan }: BlockAnswer,
): CardTiming {
  const arrival = arrivals.find(({ id }) => id === at);
  const same = [...plan.controls, ...singles].find((each) => each.at === at && each.control === control);
  if (!arrival) return { soonestMinutes: null, likelyMinutes: null };
  const soonestMinutes = Math.max(arrival.minutes, same?.oilMinutes ?? 0);
  return { soonestMinutes, likelyMinutes: arrival.likely && Math.max(soonestMinutes, arrival.likely.first) };
}

/** What protects people ahead of a step, by the deadliest fluid of the zone that it may be done for. */
function beforeStep({ map }: Drainage, zone: Zone, { at, control }: PlannedControl): Told[] {
  const others = (zone.properties.fluids ?? []).filter(isNotGasoline);
  const planFor = { fluid: deadliest(others)?.fluid ?? ('other' as const), mayBeGasoline: false };
  const kind = map.structures.find(({ id }) => id === at)?.kind ?? null;
  return safetyFor(planFor, { control, kind }).before;
}

/** What protects people, by the deadliest fluid of the zone. */
function safetyOf(map: SiteMap, zone: Zone): Pick<ResponseCard, 'danger' | 'safety' | 'isUntilNamed'> {
  const { fluids = [] } = zone.properties;
  const [others, worst] = [fluids.filter(isNotGasoline), deadliest(fluids)?.fluid ?? null];
  const isGasoline = worst === null || worst === 'gasoline';
  const isOnlyGasoline = fluids.length > 0 && others.length === 0;
  const danger = { fluid: isGasoline && !isOnlyGasoline ? null : worst, mayBeGasoline: isGasoline };
  const { first, always } = safetyFor(danger);
  const far = isGasoline ? farShutOff(map, zone.id) : null;
  return {
    danger,
    safety: {
      first: eachOnce([...first, ...(far ? [far] : []), ...others.flatMap(({ fluid }) => fluidAdvice(fluid, []))]),
      always,
    },
    isUntilNamed: isGasoline && !isOnlyGasoline,
  };
}

/** Messages without those that say the same again; none of those said twice takes values. */
const eachOnce = (messages: readonly Told[]) => [...new Map(messages.map((each) => [each.told, each])).values()];

function nearestKit(map: SiteMap, zoneId: string): NearestKit | null {
  const from = walkerPosition(map, zoneId);
  const kits = kitsOf(map);
  if (!from || kits.length === 0) return null;
  const minutes = walkingGround(map).minutesFrom(
    from,
    kits.map(({ position }) => position),
  );
  const nearest = minutes.indexOf(Math.min(...minutes));
  return { id: kits[nearest].id, minutes: minutes[nearest] };
}
