/**
 * How much has come by when: a rising, piecewise linear curve. Nothing has come before the first point, all of it by the
 * last; between two points it comes evenly. Minutes rise strictly, amounts never fall and begin at 0; a curve without
 * points is nothing at all. Every function here is monotone: where less comes, or later, no more goes out by any minute.
 */
export interface Curve {
  readonly minutes: readonly number[];
  readonly amounts: readonly number[];
}

/** Nothing ever comes. */
export const NOTHING: Curve = { minutes: [], amounts: [] };

/** All that comes in the end. */
export const totalOf = ({ amounts }: Curve): number => (amounts.length === 0 ? 0 : amounts[amounts.length - 1]);

/** An amount that comes evenly from minute 0 on, over so many minutes, above 0. */
export const evenly = (amount: number, overMinutes: number): Curve =>
  amount > 0 ? { minutes: [0, overMinutes], amounts: [0, amount] } : NOTHING;

/** How much has come by a minute. O(log points). */
export function amountAt({ minutes, amounts }: Curve, minute: number): number {
  if (minutes.length === 0 || minute <= minutes[0]) return 0;
  const last = minutes.length - 1;
  if (minute >= minutes[last]) return amounts[last];
  const at = firstNotUnder(minutes, minute);
  return between(minutes, amounts, { at, minute });
}

/** On the piece that ends at point `at`, the amount at a minute inside it. */
function between(
  minutes: readonly number[],
  amounts: readonly number[],
  { at, minute }: { at: number; minute: number },
): number {
  const part = (minute - minutes[at - 1]) / (minutes[at] - minutes[at - 1]);
  return amounts[at - 1] + part * (amounts[at] - amounts[at - 1]);
}

/** The first point whose value is not under the one looked for; values rise, and the last one is not under it. */
function firstNotUnder(values: readonly number[], wanted: number): number {
  let [low, high] = [0, values.length - 1];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle] < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The minute by which an amount has come, the first where there are several; Infinity where it never does. O(log points). */
export function minuteOf({ minutes, amounts }: Curve, amount: number): number {
  const last = amounts.length - 1;
  if (last < 0 || amount > amounts[last]) return Number.POSITIVE_INFINITY;
  const at = firstNotUnder(amounts, amount);
  return at === 0 ? minutes[0] : crossing(minutes, amounts, { at, amount });
}

function crossing(
  minutes: readonly number[],
  amounts: readonly number[],
  { at, amount }: { at: number; amount: number },
): number {
  const part = (amount - amounts[at - 1]) / (amounts[at] - amounts[at - 1]);
  return minutes[at - 1] + part * (minutes[at] - minutes[at - 1]);
}

/** The last minute at which nothing has come yet; Infinity where nothing ever does. O(points that stand at 0). */
export function beginningOf({ minutes, amounts }: Curve): number {
  for (let at = 1; at < amounts.length; at++) if (amounts[at] > 0) return minutes[at - 1];
  return Number.POSITIVE_INFINITY;
}

/** The same, so many minutes later, 0 or more. O(points). */
export const later = (curve: Curve, minutes: number): Curve =>
  minutes === 0 || curve.minutes.length === 0
    ? curve
    : { minutes: curve.minutes.map((minute) => minute + minutes), amounts: curve.amounts };

/** A part of it, 0 to 1. O(points). */
export function partOf(curve: Curve, part: number): Curve {
  if (part === 1) return curve;
  return part === 0 ? NOTHING : { minutes: curve.minutes, amounts: curve.amounts.map((amount) => amount * part) };
}

/** Two together. O(points). */
export function bothOf(a: Curve, b: Curve): Curve {
  if (a.minutes.length === 0) return b;
  if (b.minutes.length === 0) return a;
  const [minutes, amounts]: [number[], number[]] = [[], []];
  let [i, j] = [0, 0];
  while (i < a.minutes.length || j < b.minutes.length) {
    const minute = Math.min(a.minutes[i] ?? Number.POSITIVE_INFINITY, b.minutes[j] ?? Number.POSITIVE_INFINITY);
    minutes.push(minute);
    amounts.push(along(a, i, minute) + along(b, j, minute));
    if (a.minutes[i] === minute) i++;
    if (b.minutes[j] === minute) j++;
  }
  return { minutes, amounts };
}

/** The amount at a minute for which `next` is the first point that is not before it. */
function along({ minutes, amounts }: Curve, next: number, minute: number): number {
  if (next >= minutes.length) return amounts[amounts.length - 1];
  if (minutes[next] === minute) return amounts[next];
  return next === 0 ? 0 : between(minutes, amounts, { at: next, minute });
}

/** What is left when so much of it that never is more at any minute has been taken off: a less b. O(points). */
export function restOf(a: Curve, b: Curve): Curve {
  if (b.minutes.length === 0) return a;
  const { minutes, amounts } = bothOf(a, { minutes: b.minutes, amounts: b.amounts.map((amount) => -amount) });
  return { minutes, amounts };
}

/**
 * What gets past something that keeps a part of what comes from a minute on, until it is full:
 * A − min(part · (A − A(minute))⁺, most). O(points).
 */
export function past(curve: Curve, { from, part, most }: { from: number; part: number; most: number }): Curve {
  const { minutes, amounts } = curve;
  const count = minutes.length;
  if (count === 0 || part === 0 || most === 0 || from >= minutes[count - 1]) return curve;
  const before = amountAt(curve, from);
  const full = before + most / part;
  const out: { minutes: number[]; amounts: number[] } = { minutes: [], amounts: [] };
  const add = (minute: number, amount: number) => {
    out.minutes.push(minute);
    out.amounts.push(amount - Math.min(part * Math.max(0, amount - before), most));
  };
  let isFull = false;
  for (let at = 0; at < count; at++) {
    const minute = minutes[at];
    if (at > 0) {
      const start = minutes[at - 1];
      if (start < from && from < minute) add(from, before);
      if (!isFull && amounts[at] > full) {
        const when = crossing(minutes, amounts, { at, amount: full });
        if (when > Math.max(start, from) && when < minute) add(when, full);
        isFull = true;
      }
    }
    add(minute, amounts[at]);
  }
  return out;
}

/** What comes until a minute, and no more after it. O(points). */
export function until(curve: Curve, minute: number): Curve {
  const { minutes, amounts } = curve;
  const count = minutes.length;
  if (count === 0 || minute >= minutes[count - 1]) return curve;
  if (minute <= minutes[0]) return NOTHING;
  const at = firstNotUnder(minutes, minute);
  return {
    minutes: [...minutes.slice(0, at), minute],
    amounts: [...amounts.slice(0, at), between(minutes, amounts, { at, minute })],
  };
}

/**
 * What a pump passes on that starts when so much has come and then runs on: nothing until then, after that all of it, at
 * most so much a minute. O(points).
 *
 * Once it runs, either something is waiting and it runs at its most, or nothing is and what comes goes straight through
 * if it is not more than that. So each piece of the curve gives at most two.
 */
export function pumped(curve: Curve, { start, perMinute }: { start: number; perMinute: number }): Curve {
  const { minutes, amounts } = curve;
  if (totalOf(curve) < start || totalOf(curve) === 0) return NOTHING;
  const begins = start > 0 ? minuteOf(curve, start) : minutes[0];
  const out: { minutes: number[]; amounts: number[] } = { minutes: [begins], amounts: [0] };
  let [time, passed, come] = [begins, 0, amountAt(curve, begins)];
  const add = (minute: number, amount: number) => {
    if (minute > time) {
      out.minutes.push(minute);
      out.amounts.push(amount);
    }
    [time, passed] = [minute, amount];
  };
  for (let at = 0; at < minutes.length; at++) {
    if (minutes[at] <= begins) continue;
    const length = minutes[at] - time;
    const rate = (amounts[at] - come) / length;
    const emptyAfter = rate < perMinute ? (come - passed) / (perMinute - rate) : Number.POSITIVE_INFINITY;
    if (emptyAfter >= length) add(minutes[at], passed + perMinute * length);
    else {
      if (emptyAfter > 0) add(time + emptyAfter, passed + perMinute * emptyAfter);
      add(minutes[at], amounts[at]);
    }
    come = amounts[at];
  }
  if (come > passed) add(time + (come - passed) / perMinute, come);
  return out;
}

/**
 * Curves together, by their values at the whole multiples of a step: nothing is lost, and no minute is off by more than
 * a step. It bounds how many points their sum can have. O(points + curves × minutes ÷ step).
 */
export function onGrid(curves: readonly Curve[], step: number): Curve {
  let [first, last] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const { minutes } of curves) {
    if (minutes.length === 0) continue;
    first = Math.min(first, Math.floor(minutes[0] / step));
    last = Math.max(last, Math.ceil(minutes[minutes.length - 1] / step));
  }
  if (first > last) return NOTHING;
  const [minutes, amounts]: [number[], number[]] = [[], []];
  for (let tick = first; tick <= last; tick++) {
    minutes.push(tick * step);
    amounts.push(0);
  }
  let total = 0;
  for (const curve of curves) {
    addOnto(amounts, minutes, curve);
    total += totalOf(curve);
  }
  // A multiple of a step may fall short of the last point by a rounding.
  amounts[amounts.length - 1] = total;
  return { minutes, amounts };
}

/** Adds what has come of a curve by each of some minutes. */
function addOnto(amounts: number[], at: readonly number[], curve: Curve): void {
  const { minutes } = curve;
  const count = minutes.length;
  if (count === 0) return;
  let next = 0;
  for (let tick = 0; tick < at.length; tick++) {
    const minute = at[tick];
    while (next < count && minutes[next] < minute) next++;
    amounts[tick] += along(curve, next, minute);
  }
}
