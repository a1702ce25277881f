import type { BlockAnswer, PlannedControl } from '../block/index.ts';
import type { Text, Told, Voice } from '../catalogue/index.ts';
import { isOfKind, type SiteMap, type StructureKind } from '../site-map/index.ts';
import { safetyFor } from '../spill/index.ts';
import { worth } from '../units/index.ts';
import { controlOrder, orderWithin } from './block.ts';
import { whenOf, wholeMinutes } from './minutes.ts';
import { takenWords } from './taken.ts';

/** What a telling has to know of the map: how a place is called, and what stands there. */
export interface Places {
  nameOf: (id: string) => string;
  kindOf: (id: string) => StructureKind | undefined;
  /** Kits and buildings among them: without a kit, or a door, something is taken for granted. */
  others: SiteMap['others'];
}

/** One step of a plan in words. */
export interface StepTelling {
  at: string;
  control: PlannedControl['control'];
  hand: string | null;
  kit: string | null;
  /** What protects people, to stand before the step. */
  before: string[];
  /** Who does it: "You", or a crew post by its name; null while time is not counted. */
  who: string | null;
  /** The order alone: "Cover CB-1". */
  order: string;
  /** Who does what, and what they fetch: "You: take the drain cover from KIT-1, then cover CB-1." */
  sentence: string;
  /** When oil is there and when it is in place; null while time is not counted. */
  when: string | null;
  /** What it is worth: "Keeps about 12 gal." */
  keeps: string;
}

/** A plan in words, the same on the command line, on screen, on a card and read out. Every text is whole sentences. */
export interface PlanTelling {
  /** What protects people, ahead of everything. */
  first: string[];
  /** What to do now: the first step's sentence, or why there is none and what to do instead. */
  now: string[];
  steps: StepTelling[];
  /** Steps of whoever is at the spill, and those of everybody else; the second is empty where one hand does all. */
  columns: { title: string; steps: StepTelling[] }[];
  /** Why nothing is to be placed, or no more than that; null where the plan needs no reason. */
  why: string | null;
  /** Litres kept out, against doing nothing, and what gets out all the same. */
  kept: string[];
  state: string;
  /** What it costs and what doing nothing costs, as far as such sums are worth. */
  costs: string;
  /** Null where every price is stated, so that there is none. */
  costRange: string | null;
  backingUp: string[];
  whilePlacing: string[];
  /** How far it may be from the best there is; null where nothing is placed. */
  gap: string | null;
  assumed: string[];
  always: string[];
}

/** Litres kept out, in the end: of the drains, or, where nothing can keep them out of these any more, of water. */
export interface KeptOut {
  litres: number;
  /** So much would get there if nothing is done. */
  of: number;
  from: 'drains' | 'water';
}

/** Less than this is not told as kept out of the drains, where it can be told of water. */
const LEAST_LITRES = 0.05;

/**
 * The figure that stays in sight: litres that a plan keeps out, against doing nothing. `against` is what doing nothing came to when
 * the spill began; left out, what it comes to now.
 */
export function keptOut({ plan, doNothing }: BlockAnswer, against: BlockAnswer['doNothing'] = doNothing): KeptOut {
  const outOf = ({ toWater, toPublicDrain }: BlockAnswer['plan']['litres']) => toWater + toPublicDrain;
  const drains = { litres: against.pastGrates - plan.pastGrates, of: against.pastGrates };
  const water = { litres: outOf(against.litres) - outOf(plan.litres), of: outOf(against.litres) };
  const [litres, of, from] =
    drains.litres < LEAST_LITRES && water.litres >= LEAST_LITRES
      ? [water.litres, water.of, 'water' as const]
      : [drains.litres, drains.of, 'drains' as const];
  return { litres: Math.max(0, litres), of, from };
}

/** The one telling of a plan: whatever shows, prints or says it takes its sentences from here. */
export function planTelling(answer: BlockAnswer, places: Places, voice: Voice): PlanTelling {
  const { plan, spill } = answer;
  const { first, always } = safetyFor(spill);
  const tell = (sentences: readonly Told[]) => sentences.map(voice.tell);
  const steps = plan.controls.map((step) => stepTelling(answer, { step, ...places }, voice));
  const why = plan.why && voice.tell(plan.why);
  return {
    ...{ steps, why },
    first: tell(first),
    now: steps.length > 0 ? [steps[0].sentence] : insteadWords(answer, voice),
    columns: columnsOf(steps, voice),
    kept: keptWords(answer, places, voice),
    state: voice.say(spill.mayBeGasoline ? 'answers.call-now' : `answers.state-${answer.state}`),
    costs: costWords(answer, voice),
    costRange: rangeWords(plan.costRange, voice),
    backingUp: backingUpWords(answer, places, voice),
    whilePlacing: answer.whilePlacing.map((each) => voice.tell(namedIn(each, places.nameOf))),
    gap: gapWords(plan, voice),
    assumed: [...takenWords(spill, voice), ...tell(answer.assumed), ...planAssumptions(answer, places, voice)],
    always: tell(always),
  };
}

/** What a room tells of places by their ids, with the names that they go by here. */
function namedIn({ told, values = {} }: Told, nameOf: Places['nameOf']): Told {
  const named = Object.entries(values).map(([key, value]) =>
    (key === 'at' || key === 'next') && typeof value === 'string' ? [key, nameOf(value)] : [key, value],
  );
  return { told, values: Object.fromEntries(named) };
}

/** Whoever is at the spill. */
const HERE = 'here';

function stepTelling(
  { spill }: BlockAnswer,
  { step, nameOf, kindOf }: Places & { step: PlannedControl },
  voice: Voice,
): StepTelling {
  const { at, control, hand, kit, keepsLitres } = step;
  const named = { control, at: nameOf(at) };
  const who = hand === null ? null : hand === HERE ? voice.say('answers.who-here') : nameOf(hand);
  const order = controlOrder(named, voice);
  return {
    ...{ at, control, hand, kit, who, order },
    before: safetyFor(spill, { control, kind: kindOf(at) ?? null }).before.map(voice.tell),
    sentence:
      who === null
        ? voice.say('answers.step', { order })
        : stepSentence({ who, order: orderWithin(named, voice), control, kit: kit && nameOf(kit) }, voice),
    when: whenWords(step, voice),
    keeps:
      keepsLitres < LEAST_LITRES
        ? voice.say('answers.step-sure')
        : voice.say('answers.step-keeps', { litres: { litres: keepsLitres } }),
  };
}

function stepSentence(
  { who, order, control, kit }: { who: string; order: string; control: PlannedControl['control']; kit: string | null },
  voice: Voice,
): string {
  const what = { who, order };
  return kit === null
    ? voice.say('answers.step-by', what)
    : voice.say('answers.step-fetch', { ...what, kit, control: voice.say(`things.the-${control}`) });
}

/** Controls that are placed where the oil starts: when it is there says nothing. */
const AT_THE_SPILL: readonly PlannedControl['control'][] = ['berm', 'absorb', 'fuel-stop', 'pump-switch', 'diverter'];

function whenWords({ control, oilMinutes, crewMinutes }: PlannedControl, voice: Voice): string | null {
  if (crewMinutes === null) return null;
  const crew = wholeMinutes(crewMinutes);
  if (oilMinutes === null || AT_THE_SPILL.includes(control)) return voice.say('answers.step-done', { crew });
  const times = { ...whenOf(oilMinutes), crew };
  return voice.say(crewMinutes <= oilMinutes ? 'answers.step-in-time' : 'answers.step-late', times);
}

function columnsOf(steps: readonly StepTelling[], voice: Voice): PlanTelling['columns'] {
  const isHere = ({ hand }: StepTelling) => hand === HERE || hand === null;
  const [yours, theirs] = [steps.filter(isHere), steps.filter((step) => !isHere(step))];
  return [
    { title: voice.say('answers.column-you'), steps: yours },
    { title: voice.say('answers.column-crew'), steps: theirs },
  ];
}

/** What to do where nothing is to be placed. */
function insteadWords({ plan, inlets, state, spill: { mayBeGasoline } }: BlockAnswer, voice: Voice): string[] {
  const why = plan.why === null ? [] : [voice.tell(plan.why)];
  if (state === 'held') return why;
  return [...why, voice.say(inlets.length === 0 && !mayBeGasoline ? 'answers.take-up' : 'answers.call-now')];
}

function keptWords(answer: BlockAnswer, { nameOf }: Places, voice: Voice): string[] {
  const { plan, doNothing } = answer;
  const { litres, of, from } = keptOut(answer);
  const about = { kept: { litres }, of: { litres: of } };
  const out = plan.litres.toWater + plan.litres.toPublicDrain;
  const names = (ids: readonly string[]): Text => ({ list: ids.map(nameOf) });
  const doesNothing = plan.controls.length === 0;
  const isKept = !doesNothing && of >= LEAST_LITRES;
  return [
    ...(!isKept ? [] : [voice.say(from === 'drains' ? 'answers.kept-drains' : 'answers.kept-water', about)]),
    plan.waters.length === 0
      ? voice.say('answers.none-out')
      : voice.say('answers.still-out', { litres: { litres: out }, waters: names(plan.waters) }),
    ...(!doesNothing && doNothing.waters.length > 0 && plan.waters.length === 0
      ? [
          voice.say('answers.nothing-out', {
            litres: { litres: doNothing.litres.toWater + doNothing.litres.toPublicDrain },
            waters: names(doNothing.waters),
          }),
        ]
      : []),
  ];
}

function costWords({ plan, doNothingCost }: BlockAnswer, voice: Voice): string {
  const nothing = { about: doNothingCost };
  if (plan.controls.length === 0 && doNothingCost === 0) return voice.say('answers.do-nothing-fouls-none');
  return plan.controls.length === 0
    ? voice.say('answers.nothing-costs', { nothing })
    : voice.say('answers.plan-costs', { total: { about: plan.totalCost }, nothing });
}

function rangeWords({ low, high }: BlockAnswer['plan']['costRange'], voice: Voice): string | null {
  const [least, most] = [worth(low), worth(high)];
  return least === most ? null : voice.say('answers.plan-range', { low: { money: least }, high: { money: most } });
}

function backingUpWords({ backingUp }: BlockAnswer, { nameOf }: Places, voice: Voice): string[] {
  return backingUp.flatMap(({ at, minutes, floods, from }) =>
    minutes === null || floods === null
      ? []
      : [
          voice.say('answers.backs-up', {
            at: nameOf(at),
            floods: nameOf(floods),
            ...whenOf(minutes),
            from,
          }),
        ],
  );
}

function gapWords({ controls, gap }: BlockAnswer['plan'], voice: Voice): string | null {
  if (controls.length === 0) return null;
  const litres = Math.max(gap.toWater, gap.toPublicDrain, gap.pastGrates);
  if (litres > 0) return voice.say('answers.plan-gap-litres', { litres: { litres } });
  return gap.money > 0
    ? voice.say('answers.plan-gap-money', { money: { money: worth(gap.money) } })
    : voice.say('answers.plan-proved');
}

function planAssumptions({ isTimed, plan }: BlockAnswer, { others }: Places, voice: Voice): string[] {
  if (plan.controls.length === 0) return [voice.say('answers.assume-costs')];
  const hasKit = others.some((each) => isOfKind(each, 'kit'));
  const hasBuilding = others.some((each) => isOfKind(each, 'building'));
  return [
    voice.say(isTimed ? 'answers.assume-hands' : 'answers.assume-no-crew'),
    ...(isTimed && hasBuilding ? [voice.say('answers.assume-doors')] : []),
    ...(hasKit ? [] : [voice.say('answers.assume-no-kit')]),
    voice.say('answers.assume-costs'),
  ];
}
