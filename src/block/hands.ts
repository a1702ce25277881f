import { CONTROLS, type Control, type Position, type SiteMap, walkingGround } from '../site-map/index.ts';
import { coverFits, type KitStock } from './kits-stock.ts';
import type { Offer } from './offers.ts';

/** Where a hand stands, from which minute on it is free, and the kits it has been to. */
export interface Standing {
  position: Position;
  free: number;
  kits: readonly number[];
}

/** Hands, kits and offers, and the ways between them. */
export interface Crew {
  /** By hand: where it starts. Minutes as the model counts them. */
  starts: readonly (Standing & { isTrained: boolean })[];
  /** None: what is placed is in hand. */
  kits: readonly KitStock[];
  offers: readonly Offer[];
  /** How many of each control each kit holds, by kit and by the control's place in `CONTROLS`. */
  stock: Stock;
  /** Minutes on foot and at a kit from a place to an offer: straight, and by each kit; Infinity where there is no way. */
  trip: (from: Position, offer: Offer) => Trip;
}

export interface Trip {
  straight: number;
  /** By kit; Infinity too where it has nothing that fits. */
  byKit: readonly number[];
}

export type Stock = readonly (readonly number[])[];

/** One way to place a control: when it is in place, and the kit that it comes from; -1 for none. */
export interface Leg {
  minutes: number;
  kit: number;
}

/** Minutes that it takes to open a kit and take out what is wanted. A guess. */
const AT_KIT_MINUTES = 0.25;

const numberOf = (control: Control) => CONTROLS.indexOf(control);

/** What kits hold, as rows. */
export const stockOf = (kits: readonly KitStock[]): Stock =>
  kits.map(({ stock }) => CONTROLS.map((control) => stock[control]));

/** The stock with one control less in a kit; -1 takes nothing. */
export function without(stock: Stock, control: Control, kit: number): Stock {
  const number = numberOf(control);
  if (kit < 0 || stock[kit][number] === Number.POSITIVE_INFINITY) return stock;
  return stock.map((row, at) => (at === kit ? row.map((count, each) => (each === number ? count - 1 : count)) : row));
}

/**
 * The ways in which a hand that stands somewhere can place a control, each by one kit at most. A kit it has been to needs no
 * second walk: what is taken there is settled afterwards. Empty where it cannot. O(kits).
 */
export function legsTo(
  { kits, trip }: Crew,
  { standing, isTrained, stock }: { standing: Standing; isTrained: boolean; stock: Stock },
  offer: Offer,
): Leg[] {
  if (offer.needs === 'trained' && !isTrained) return [];
  const { straight, byKit } = trip(standing.position, offer);
  const done = (minutes: number) => standing.free + minutes + offer.minutes;
  if (!offer.isFromKit || kits.length === 0)
    return Number.isFinite(straight) ? [{ minutes: done(straight), kit: -1 }] : [];
  const number = numberOf(offer.control);
  const legs: Leg[] = [];
  for (let kit = 0; kit < byKit.length; kit++) {
    if (stock[kit][number] < 1 || !Number.isFinite(byKit[kit])) continue;
    legs.push({ minutes: done(standing.kits.includes(kit) ? straight : byKit[kit]), kit });
  }
  return legs;
}

/**
 * The legs that are worth trying: one is dropped where by another kit the control is in place no later, and that kit has
 * enough of all that is still wanted. Of two that are alike the first one stays. O(legs² × controls).
 */
export function worthTrying(
  legs: readonly Leg[],
  { kits }: Crew,
  facts: { stock: Stock; wanted: readonly number[] },
): Leg[] {
  const { stock, wanted } = facts;
  const isAsGood = (a: Leg, b: Leg) =>
    a.minutes <= b.minutes &&
    wanted.every((count, control) => stock[a.kit][control] >= Math.min(count, stock[b.kit][control])) &&
    (wanted[numberOf('cover')] === 0 || spans(kits[a.kit]) >= spans(kits[b.kit]));
  return legs.filter(
    (leg, at) =>
      !legs.some((other, before) => other !== leg && isAsGood(other, leg) && (before < at || !isAsGood(leg, other))),
  );
}

const spans = ({ coverMm }: KitStock) => coverMm ?? Number.POSITIVE_INFINITY;

/** How many of each control are wanted by these offers, by the control's place in `CONTROLS`. */
export function wantedBy(offers: readonly Offer[]): number[] {
  const wanted = CONTROLS.map(() => 0);
  for (const { control, isFromKit } of offers) if (isFromKit) wanted[numberOf(control)]++;
  return wanted;
}

/** Where a hand stands once it has placed a control. */
function afterLeg({ kits }: Standing, { position }: Offer, { minutes, kit }: Leg): Standing {
  return { position, free: minutes, kits: kit < 0 || kits.includes(kit) ? kits : [...kits, kit] };
}

/** Where all hands stand, and what the kits hold. */
export interface State {
  standings: readonly Standing[];
  stock: Stock;
}

/** One control of a plan: which offer, by which hand, from which kit (-1 for none), and when it is in place. */
export interface Step extends Leg {
  offer: number;
  hand: number;
}

/** The soonest step by which one of these hands, all of them where none is named, places an offer; null where none can. */
export function soonestStep(crew: Crew, { standings, stock }: State, offer: number, only?: number): Step | null {
  let best: Step | null = null;
  standings.forEach((standing, hand) => {
    if (only !== undefined && hand !== only) return;
    const { isTrained } = crew.starts[hand];
    for (const leg of legsTo(crew, { standing, isTrained, stock }, crew.offers[offer]))
      if (!best || leg.minutes < best.minutes) best = { ...leg, offer, hand };
  });
  return best;
}

/** How things stand after a step. */
export function afterStep(crew: Crew, { standings, stock }: State, step: Step): State {
  const offer = crew.offers[step.offer];
  return {
    standings: standings.map((each, hand) => (hand === step.hand ? afterLeg(each, offer, step) : each)),
    stock: without(stock, offer.control, step.kit),
  };
}

/**
 * The ways from any of these places to an offer, straight and by each kit; each row of walks is worked out when it is first
 * asked for. A search asks for the same few thousands of times, and a row costs a search round all buildings.
 */
export function tripsBetween(map: SiteMap, places: readonly Position[], kits: readonly KitStock[]): Crew['trip'] {
  const { minutesFrom } = walkingGround(map);
  const rows = new Map<Position, Map<Position, number>>();
  const walk = (from: Position, to: Position) =>
    (rows.get(from) ?? rowFrom(from)).get(to) ?? minutesFrom(from, [to])[0];
  const trips = new Map<Position, Map<Offer, Trip>>();
  return (from, offer) => {
    const known = trips.get(from) ?? new Map<Offer, Trip>();
    trips.set(from, known);
    const trip = known.get(offer) ?? tripTo(from, offer);
    known.set(offer, trip);
    return trip;
  };

  function tripTo(from: Position, { position, openingMm, isFromKit }: Offer): Trip {
    const byKit = (kit: KitStock) =>
      coverFits(kit, openingMm)
        ? walk(from, kit.position) + AT_KIT_MINUTES + walk(kit.position, position)
        : Number.POSITIVE_INFINITY;
    return { straight: walk(from, position), byKit: isFromKit ? kits.map(byKit) : [] };
  }

  function rowFrom(from: Position): Map<Position, number> {
    const minutes = minutesFrom(from, places);
    const row = new Map(places.map((place, at) => [place, minutes[at]]));
    rows.set(from, row);
    return row;
  }
}
