import type { Told } from '../catalogue/index.ts';
import type { Drainage } from '../drainage/index.ts';
import {
  type Control,
  type Fluid,
  type Position,
  type Problem,
  type SiteMap,
  type Structure,
  type WalkingGround,
  walkerPosition,
  walkingGround,
  type Zone,
} from '../site-map/index.ts';
import { findSpill, fluidAdvice, largestContainer, type SpillAnswer } from '../spill/index.ts';
import { type BlockAnswer, findBlocks, type PlannedControl, type SingleControl, spareOf } from './block.ts';
import { orderFor } from './crew.ts';
import { kitsOf } from './kits-stock.ts';

/** Rain that a card answers for beside dry weather, in mm/h, where nobody says otherwise: a heavy shower, a guess. */
export const DESIGN_RAIN_MM_PER_H = 25;

export interface CardOptions {
  /** Litres spilled, above 0; left out, the largest container of the zone's fluids. */
  litres?: number;
  /** mm/h of the rain that the card answers for beside dry weather, above 0; left out, 25. */
  rainMmPerH?: number;
}

/** When oil can be at a control in one weather. */
export interface CardTiming {
  /** Minutes from the spill; null where oil never gets there that way. */
  oilMinutes: number | null;
  /** Whether the crew has it in place with the margin to spare; null while time is not counted, or the minutes are of another weather. */
  isInTime: boolean | null;
}

/** One place to block, with its number on the card and on its map. */
export interface CardStep {
  /** 1, 2, 3 …; a control that the card names twice keeps its number. */
  ring: number;
  at: string;
  control: Control;
  /** The kit it is fetched from; null where nothing has to be fetched, or no kit is on the map. */
  kit: string | null;
  /** Minutes until the crew has it in place; null while time is not counted. */
  crewMinutes: number | null;
  dry: CardTiming;
  rain: CardTiming;
}

/** The kit nearest to a zone, on foot from the zone's middle. */
export interface NearestKit {
  id: string;
  minutes: number;
}

/** What stands on a zone's card, apart from words. */
export interface ResponseCard {
  zone: Zone;
  /** The fluid that is planned for: the zone's only one; null where there are several, or none is listed. */
  fluid: Fluid | null;
  litres: number;
  /** What the litres rest on: the caller, the largest container of `largestOf`, or nothing but a default. */
  litresFrom: 'asked' | 'largest' | 'default';
  largestOf: Fluid | null;
  rainMmPerH: number;
  /** In dry weather and in rain: where the oil goes, and the whole answer on where to block it. */
  dry: { spill: SpillAnswer; block: BlockAnswer };
  rain: { spill: SpillAnswer; block: BlockAnswer };
  /**
   * What to do, in order: the dry plan, or, where none can be in time (`dry.block.isTooLate`), the place to go to all
   * the same and the next least late ones. Empty where nothing drains, nothing pays, or nobody may go near.
   */
  plan: CardStep[];
  /** What is left to do when the first step was missed; empty where nothing is. */
  ifMissed: CardStep[];
  /** What the rain asks for, where the steps above have something of it missing; else empty. */
  inRain: CardStep[];
  nearestKit: NearestKit | null;
  /** What the zone's fluids call for, ahead of the plan. */
  advice: Told[];
}

/** Places that a card names when none can be reached in time: one to go to, and two after it. */
const LATE_PLACES = 3;

/**
 * The response card of a zone: what to do when oil is spilled there, worked out ahead for the largest container, dry
 * and in a heavy shower. `card` is null with the problem that says why: no zone has that id. Twice the cost of
 * `findBlocks` and of `findSpill`. The dry plan stands first; what rain asks for is told only where the card does not
 * say it already. A step of a plan that is too late is told as if the crew did nothing else.
 */
export function responseCard(
  drainage: Drainage,
  zoneId: string,
  { litres, rainMmPerH = DESIGN_RAIN_MM_PER_H }: CardOptions = {},
): { card: ResponseCard | null; problems: Problem[] } {
  const { map } = drainage;
  const zone = map.zones.find(({ id }) => id === zoneId);
  const largest = zone ? largestContainer(zone) : null;
  const question = { place: { zone: zoneId }, litres: litres ?? largest?.litres ?? 0 };
  const inWeather = (mmPerH: number) => {
    const { answer: spill, problems } = findSpill(drainage, { ...question, rainMmPerH: mmPerH });
    const { answer: block } = findBlocks(drainage, { ...question, rainMmPerH: mmPerH });
    return { spill, block, problems };
  };
  const [dry, rain] = [inWeather(0), inWeather(rainMmPerH)];
  if (!zone || !dry.spill || !dry.block || !rain.spill || !rain.block) return { card: null, problems: dry.problems };
  const fluids = zone.properties.fluids?.map(({ fluid }) => fluid) ?? [];
  const ground = walkingGround(map);
  const facts = { dry: dry.block, rain: rain.block, kitFor: kitFinder(map, ground, dry.spill) };
  const card: ResponseCard = {
    zone,
    fluid: dry.block.fluid,
    litres: question.litres,
    litresFrom: litres !== undefined ? 'asked' : largest?.fluid ? 'largest' : 'default',
    largestOf: largest?.fluid ?? null,
    rainMmPerH,
    dry: { spill: dry.spill, block: dry.block },
    rain: { spill: rain.spill, block: rain.block },
    ...stepsOf(facts),
    nearestKit: nearestKit(map, ground, zoneId),
    advice: eachOnce([...dry.block.advice, ...fluids.filter(isNotLight).flatMap((each) => fluidAdvice(each, []))]),
  };
  return { card, problems: [] };
}

/** Advice on gasoline is in the answer's own, as "if this is gasoline" where the fluid is not known. */
const isNotLight = (fluid: Fluid) => fluid !== 'gasoline';

type KitFor = (single: SingleControl) => string | null;
type Wanted = Omit<CardStep, 'ring' | 'dry' | 'rain'>;

function stepsOf({
  dry,
  rain,
  kitFor,
}: {
  dry: BlockAnswer;
  rain: BlockAnswer;
  kitFor: KitFor;
}): Pick<ResponseCard, 'plan' | 'ifMissed' | 'inRain'> {
  const planned = ({ at, control, kit, crewMinutes }: PlannedControl): Wanted => ({ at, control, kit, crewMinutes });
  const alone = (single: SingleControl): Wanted => ({ ...pick(single), kit: kitFor(single) });
  const rings: string[] = [];
  const step = (wanted: Wanted): CardStep => {
    const key = keyOf(wanted);
    if (!rings.includes(key)) rings.push(key);
    return {
      ring: rings.indexOf(key) + 1,
      ...wanted,
      dry: timingAt(dry, wanted),
      rain: timingAt(rain, wanted),
    };
  };
  const plan = (dry.isTooLate ? leastLate(dry).map(alone) : dry.plan.controls.map(planned)).map(step);
  // These minutes count from a miss in dry weather, so they say nothing of rain.
  const ifMissed = (dry.ifMissed?.controls ?? []).map(planned).map((wanted) => {
    const after = step(wanted);
    return { ...after, rain: { ...after.rain, isInTime: null } };
  });
  const rainFirst = rain.isTooLate ? leastLate(rain).slice(0, 1).map(alone) : rain.plan.controls.map(planned);
  const isNew = rainFirst.some((wanted) => !plan.some((each) => keyOf(each) === keyOf(wanted)));
  return { plan, ifMissed, inRain: isNew ? rainFirst.map(step) : [] };
}

/** Messages without those that say the same again; none of them takes values. */
const eachOnce = (messages: readonly Told[]) => [...new Map(messages.map((each) => [each.told, each])).values()];

const pick = ({ at, control, crewMinutes }: SingleControl) => ({ at, control, crewMinutes });
const keyOf = ({ at, control }: Pick<CardStep, 'at' | 'control'>) => `${control} ${at}`;

/**
 * Where to go when nothing is in time, three places at most: `evenLate`, then by the same measure the next ones, one
 * for each place.
 */
function leastLate({ evenLate, singles }: BlockAnswer): SingleControl[] {
  if (!evenLate) return [];
  const next = singles
    .filter(({ spareMinutes, saves }) => spareMinutes !== null && saves > 0)
    .sort((a, b) => a.waters.length - b.waters.length || spareOf(b) - spareOf(a));
  const places: SingleControl[] = [evenLate];
  for (const each of next) if (!places.some(({ at }) => at === each.at)) places.push(each);
  return places.slice(0, LATE_PLACES);
}

function timingAt({ singles, marginMinutes }: BlockAnswer, { at, control, crewMinutes }: Wanted): CardTiming {
  const oilMinutes = singles.find((each) => each.at === at && each.control === control)?.oilMinutes ?? null;
  if (crewMinutes === null) return { oilMinutes, isInTime: null };
  return { oilMinutes, isInTime: oilMinutes === null || crewMinutes + marginMinutes <= oilMinutes };
}

/** Finds the kit that a crew goes by when it places one control and nothing else. */
function kitFinder(map: SiteMap, ground: WalkingGround, { arrivals }: SpillAnswer): KitFor {
  const structures = new Map(map.structures.map(({ id, position }: Structure) => [id, position]));
  const kits = kitsOf(map);
  const crews = map.others.filter(({ properties }) => properties.kind === 'crew');
  const starts = crews.flatMap(({ geometry }) =>
    geometry.type === 'Point' ? [{ position: geometry.coordinates, minutes: 0, carried: [] }] : [],
  );
  const walking = (from: Position, to: Position) => ground.minutesFrom(from, [to])[0];
  return ({ at, control, cost }) => {
    const position = structures.get(at) ?? structures.get(arrivals[0]?.id);
    if (!position) return null;
    const gate = { at, control, cost, minutes: 0 };
    return (
      orderFor([{ gate, position, deadline: Number.POSITIVE_INFINITY }], { starts, kits, walking })?.[0].kit ?? null
    );
  };
}

function nearestKit(map: SiteMap, ground: WalkingGround, zoneId: string): NearestKit | null {
  const from = walkerPosition(map, zoneId);
  const kits = kitsOf(map);
  if (!from || kits.length === 0) return null;
  const minutes = ground.minutesFrom(
    from,
    kits.map(({ position }) => position),
  );
  const nearest = minutes.indexOf(Math.min(...minutes));
  return { id: kits[nearest].id, minutes: minutes[nearest] };
}
