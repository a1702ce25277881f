import type { Drainage } from '../drainage/index.ts';
import { CONTROLS, middleOfZone, type Position, walkerPosition } from '../site-map/index.ts';
import {
  type ModelFacts,
  type PlacedControl,
  type PosedSpill,
  type SpillModel,
  type SpillRun,
  spillModel,
} from '../spill/index.ts';
import type { BlockQuestion } from './answer.ts';
import { newestDay } from './costs.ts';
import { type Crew, soonestStep, stockOf, tripsBetween, without } from './hands.ts';
import { coverFits, type KitStock, kitsOf } from './kits-stock.ts';
import { inPlace, type Offer, offersFor } from './offers.ts';
import type { Alone } from './singles.ts';
import { type CleanUpAfter, cleanUpIn } from './tried.ts';
import { type Steps, stepsFor } from './value.ts';
import { type Hands, handsOf, standingsOf } from './who.ts';

/** A spill, what is placed already, and what can still be placed by whom: all that a plan is made from. */
export interface Situation {
  question: BlockQuestion;
  model: SpillModel;
  /** Null while time is not counted. */
  hands: Hands | null;
  /** With the controls that are still to be had. */
  crew: Crew;
  placed: PlacedControl[];
  /** Each control that is still to be had, as the only one. */
  alone: Alone[];
  /** What happens if nothing more is done: as it will likely be, and without counting on dry ground. */
  nothing: { likely: SpillRun; sure: SpillRun };
  steps: Steps;
  cleanUpAfter: CleanUpAfter;
}

/** Lays out what a plan is made from. O(edges), and for what is reached O(ways × points of a curve). */
export function situationOf(
  drainage: Drainage,
  posed: PosedSpill,
  { question, facts }: { question: BlockQuestion; facts: ModelFacts | undefined },
): Situation {
  const { map } = drainage;
  const model = spillModel(drainage, posed, facts);
  const spilledAt = placeOf(posed, question) ?? walkerPosition(map, posed.start.waysIn[0]?.to ?? '');
  const hands = handsOf(map, question, spilledAt);
  const offered = offersFor(model, { place: question.place, on: question.on ?? newestDay(map) });
  const all = hands ? offered : offered.map(holdingAll);
  const gone = [...(question.placed ?? []), ...(question.ruledOut ?? [])];
  const offers = all.filter(({ at, control }) => !gone.some((each) => each.at === at && each.control === control));
  const kits = hands ? kitsOf(map) : [];
  const starts = standingsOf(map, hands ?? [], { question, kits, spilledAt });
  const places = [starts, kits, offers].flatMap((each) => each.map(({ position }) => position));
  const crew: Crew = {
    ...{ starts, kits, offers },
    stock: stockLeft(kits, question),
    trip: tripsBetween(map, places, kits),
  };
  const placed = placedOf(question, all);
  const isDry = posed.rainMmPerH === 0;
  const likely = model.run(placed);
  return {
    ...{ question, model, hands, crew, placed },
    alone: offers.map((offer, number) => ({
      offer,
      minutes: hands
        ? (soonestStep(crew, { standings: starts, stock: crew.stock }, number)?.minutes ?? Number.POSITIVE_INFINITY)
        : Number.NEGATIVE_INFINITY,
      inStock: isInStock(crew, offer),
    })),
    nothing: { likely, sure: isDry ? model.run(placed, { countsGround: false }) : likely },
    steps: stepsFor(posed.litres),
    cleanUpAfter: cleanUpIn(map),
  };
}

/** While time is not counted what closes a way holds everything; what soaks oil up, as much as it can. */
function holdingAll(offer: Offer): Offer {
  const { control, atBest } = offer;
  if (control === 'sock' || control === 'absorb') return offer;
  const holdsAll = { holds: 1, litres: Number.POSITIVE_INFINITY };
  return { ...offer, ...holdsAll, atBest: { ...atBest, ...holdsAll } };
}

function placeOf({ start: { zone } }: PosedSpill, { place }: BlockQuestion): Position | null {
  if ('point' in place) return place.point;
  return zone ? middleOfZone(zone) : null;
}

/** What the kits hold still: what was placed is out of them. */
function stockLeft(kits: readonly KitStock[], { placed = [] }: BlockQuestion): Crew['stock'] {
  return placed.reduce(
    (stock, { control, kit }) =>
      without(
        stock,
        control,
        kits.findIndex(({ id }) => id === kit),
      ),
    stockOf(kits),
  );
}

/** Whether a kit has one that fits, as far as kits are on the map. */
const isInStock = ({ kits, stock }: Crew, { isFromKit, control, openingMm }: Offer): boolean =>
  !isFromKit ||
  kits.length === 0 ||
  kits.some((kit, at) => stock[at][CONTROLS.indexOf(control)] >= 1 && coverFits(kit, openingMm));

/** What was placed, with what it keeps. What nobody could have placed there keeps nothing. */
function placedOf({ placed = [] }: BlockQuestion, offers: readonly Offer[]): PlacedControl[] {
  return placed.flatMap(({ at, control, minutes }) => {
    const offer = offers.find((each) => each.at === at && each.control === control);
    return offer ? [inPlace(offer, minutes)] : [];
  });
}
