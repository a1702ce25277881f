import { CONTROLS, type Control, type Position } from '../site-map/index.ts';
import type { Gate } from './containment.ts';
import { comesFromKit, type KitStock } from './kits-stock.ts';

/** Minutes on foot from one place to another; Infinity where there is no way. */
export type Walking = (from: Position, to: Position) => number;

/** Where a crew stands, when it can set out, and what it carries. */
export interface CrewStart {
  position: Position;
  minutes: number;
  carried: readonly Carried[];
}

/** One thing in a crew's hands, and the kit it is from. */
export interface Carried {
  control: Control;
  kit: string;
}

/** One control to be placed, and by when; Infinity where nothing presses. */
export interface Placing {
  gate: Gate;
  position: Position;
  deadline: number;
}

/** A control placed: when it is in place, and the kit it was fetched from on the way; null where nothing was. */
export interface Placed {
  gate: Gate;
  minutes: number;
  kit: string | null;
}

const FROM_KIT: readonly Control[] = CONTROLS.filter(comesFromKit);

/** Partial orders that are looked at before the search for an order gives up. */
const MOST_TRIED = 20_000;

/**
 * The state of the search, changed on the way down and put back on the way up, so that no order is copied but the best.
 */
interface Search {
  walk: Walking;
  kits: readonly KitStock[];
  left: { placing: Placing; isPlaced: boolean }[];
  stock: Record<Control, number>[];
  tried: number;
  done: Placed[];
  best: { minutes: number; placed: Placed[] } | null;
}

/**
 * An order in which one crew places all of these controls in time, kits fetched on the way, done soonest; null where
 * there is none. Without kits nothing has to be fetched. At a kit the crew takes all that it will still need: what is
 * carried slows nobody down here, so taking less could never help. Tries every order (to 20,000 steps): O(controls! ·
 * kits!) at worst, for the handful that a crew can place in minutes. Where the steps run out, null means that no order
 * was found, and an order that was found may not be the one done soonest. With several starts the one that is done
 * soonest is taken: one crew sets out, not one from each.
 */
export function orderFor(
  placings: readonly Placing[],
  { starts, kits, walking }: { starts: readonly CrewStart[]; kits: readonly KitStock[]; walking: Walking },
): Placed[] | null {
  const search: Search = {
    walk: walking,
    kits,
    left: placings.map((placing) => ({ placing, isPlaced: false })),
    stock: kits.map(({ stock }) => ({ ...stock })),
    tried: 0,
    done: [],
    best: null,
  };
  for (const start of starts) goOn(search, start);
  return search.best?.placed ?? null;
}

/**
 * One step deeper into the search: places something that is in hand, or goes by a kit. A branch that is already as late
 * as the best order found is left, for minutes only grow; so is one that would miss a deadline (`placeNext`).
 */
function goOn(search: Search, standing: CrewStart): void {
  const { left, done, best, kits } = search;
  if (best && standing.minutes >= best.minutes) return;
  if (done.length === left.length) {
    search.best = { minutes: standing.minutes, placed: [...done] };
    return;
  }
  if (search.tried++ >= MOST_TRIED) return;
  for (const each of left) {
    if (each.isPlaced) continue;
    const { control } = each.placing.gate;
    const inHand = standing.carried.findIndex((item) => item.control === control);
    if (comesFromKit(control) && kits.length > 0 && inHand < 0) continue;
    const carried = standing.carried.filter((_, at) => at !== inHand);
    placeNext(search, { ...standing, carried }, { each, kit: standing.carried[inHand]?.kit ?? null });
  }
  for (let at = 0; at < kits.length; at++) takeFrom(search, standing, at);
}

/** Goes by a kit and takes what is still wanted, if it has any of it. */
function takeFrom(search: Search, standing: CrewStart, at: number): void {
  const { id, position } = search.kits[at];
  const before = search.stock[at];
  const stock = { ...before };
  const carried = [...standing.carried];
  for (const control of FROM_KIT) {
    const wanted = search.left.filter(({ isPlaced, placing }) => !isPlaced && placing.gate.control === control).length;
    const held = carried.filter((item) => item.control === control).length;
    for (let more = held; more < wanted && stock[control] >= 1; more++) {
      carried.push({ control, kit: id });
      stock[control]--;
    }
  }
  if (carried.length === standing.carried.length) return;
  search.stock[at] = stock;
  goOn(search, { position, minutes: standing.minutes + search.walk(standing.position, position), carried });
  search.stock[at] = before;
}

function placeNext(
  search: Search,
  { position, minutes, carried }: CrewStart,
  { each, kit }: { each: Search['left'][number]; kit: string | null },
): void {
  const { gate, position: there, deadline } = each.placing;
  const ready = minutes + search.walk(position, there) + gate.minutes;
  if (!(ready <= deadline)) return;
  each.isPlaced = true;
  search.done.push({ gate, minutes: ready, kit });
  goOn(search, { position: there, minutes: ready, carried });
  search.done.pop();
  each.isPlaced = false;
}
