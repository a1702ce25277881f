import { computed, effect, untracked } from '@preact/signals';
import { isObject } from '../../../site-map/index.ts';
import { languageChoice, unitsChoice } from './choices.ts';
import { lookChoice } from './look.ts';
import { openFirstYard, openYardOf } from './open.ts';
import { hashOf, type Route, routeIn } from './route.ts';
import { show, shown, tell } from './shown-route.ts';
import { isClockOn } from './spill.ts';
import { wasStepEnded } from './steps.ts';
import { say } from './voice.ts';
import { isThisYard, yard } from './yard.ts';

const address = computed(() => hashOf(shown.value));

/** The step that an address is, however it is shown: going back is going to another step. */
const stepOf = (route: Route) => hashOf({ ...route, lang: null, units: null, look: null });

/** What the browser keeps with each address of ours: the step before it, null for the first. */
interface Mark {
  before: string | null;
}
const isMark = (state: unknown): state is Mark => isObject(state) && 'before' in state;
const markNow = (): Mark => (isMark(history.state) ? history.state : { before: null });

/** The step of the address that stands there now. */
let written = '';
/** The step that a press on "Close" goes back to, until the browser is there. */
let returningTo: string | null = null;
/** How many addresses have been followed; the last one counts. */
let followed = 0;
let isFollowing = true;
let isWriting = false;

/** Takes language, units and look from the address, before anything is drawn. */
export const takeFirstLook = (): void => takeLook(routeIn(location.hash));

/** Opens what the address names, and from then on keeps the address and the screen the same, for as long as the page lives. */
export async function followAddress(): Promise<void> {
  const first = routeIn(location.hash);
  addEventListener('popstate', ({ state }: PopStateEvent) => void goThere(isMark(state)));
  await openFirstYard(first?.yard ?? null);
  await goThere(isMark(history.state));
  effect(() => {
    if (address.value === location.hash || isWriting) return;
    isWriting = true;
    // What one press changes is one step.
    queueMicrotask(write);
  });
}

function write(): void {
  isWriting = false;
  if (isFollowing || returningTo !== null) return;
  const [to, hash] = [stepOf(shown.value), address.value];
  const isDone = wasStepEnded();
  const { before } = markNow();
  if (to === written || (isDone && to !== before)) history.replaceState({ before }, '', hash);
  else if (to === before) {
    returningTo = to;
    history.back();
  } else history.pushState({ before: written }, '', hash);
  written = returningTo === null ? to : written;
}

async function goThere(isOwn: boolean): Promise<void> {
  const route = routeIn(location.hash);
  const isReturn = returningTo !== null && route !== null && stepOf(route) === returningTo;
  returningTo = null;
  if (!isReturn) await follow(route, isOwn);
  if (!isFollowing) settle(isOwn, route !== null && stepOf(route) !== stepOf(baseOf(route)));
}

/** Where one is once everything that is open has been closed. */
const baseOf = (route: Route): Route => ({ ...route, pick: null, finding: null, add: null, open: null });

/** Writes what is on screen into the address that stands there. One from outside that opens a form gets a step to go back to. */
function settle(isOwn: boolean, opensForm: boolean): void {
  const route = shown.value;
  const base = baseOf(route);
  if (!isOwn && opensForm && stepOf(base) !== stepOf(route)) {
    history.replaceState({ before: written || null }, '', hashOf(base));
    history.pushState({ before: stepOf(base) }, '', hashOf(route));
  } else history.replaceState(isOwn ? markNow() : { before: written || null }, '', hashOf(route));
  written = stepOf(route);
}

/** The address that waits for the map it is of. */
let waiting: Route | null = null;

/** One address is followed after the other: a yard that is still being opened must not come after the one that counts. */
let following: Promise<void> = Promise.resolve();

function follow(route: Route | null, isOwn: boolean): Promise<void> {
  const turn = ++followed;
  isFollowing = true;
  if (!isOwn) takeLook(route);
  const before = following.catch(() => {});
  following = before.then(async () => {
    try {
      if (turn === followed) await goTo(route, isOwn);
    } finally {
      if (turn === followed) isFollowing = false;
    }
  });
  return following;
}

async function goTo(route: Route | null, isOwn: boolean): Promise<void> {
  if (!route) {
    if (location.hash.length > 1) tell(say('address.unknown'), say('address.choose-question'));
    return;
  }
  if (route.yard && !isThisYard(route.yard)) await openYardOf(route.yard);
  if (!route.yard || isThisYard(route.yard)) return show(route, isOwn);
  waiting = route;
  if (!isClockOn.value) tell(say('address.other-yard'), say('address.bring-its-map'));
}

/** Opens what an address named before its map was there. */
export function keepWaiting(): void {
  effect(() => {
    if (!yard.value || !waiting?.yard || !isThisYard(waiting.yard)) return;
    const route = waiting;
    waiting = null;
    untracked(() => queueMicrotask(() => void show(route, false)));
  });
}

function takeLook(route: Route | null): void {
  languageChoice.askFor(route?.lang ?? null);
  unitsChoice.askFor(route?.units ?? null);
  lookChoice.askFor(route?.look ?? null);
}
