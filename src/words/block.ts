import type { BlockAnswer, BlockPlan } from '../block/index.ts';
import type { Voice } from '../catalogue/index.ts';
import type { SiteMap } from '../site-map/index.ts';
import { whenOf, wholeMinutes } from './minutes.ts';

type Ordered = Pick<BlockPlan['controls'][number], 'control' | 'at'>;

/** How a control is ordered, to stand first in a sentence: "Cover CB-1". */
export const controlOrder = ({ control, at }: Ordered, voice: Voice): string =>
  voice.say(`answers.order-${control}`, { at });

/** "cover CB-1": the same inside a sentence. */
export const orderWithin = ({ control, at }: Ordered, voice: Voice): string =>
  voice.say(`answers.then-${control}`, { at });

/** Several orders in one sentence: "Cover CB-1 and plug the outlet of MH-2." */
export function controlOrders(controls: readonly Ordered[], nameOf: (id: string) => string, voice: Voice): string {
  const orders = controls.map(({ control, at }, place) =>
    (place === 0 ? controlOrder : orderWithin)({ control, at: nameOf(at) }, voice),
  );
  return voice.say('answers.orders', { orders: { list: orders } });
}

type Timed = Pick<BlockPlan['controls'][number], 'at' | 'control' | 'oilMinutes' | 'crewMinutes'>;

/** "Oil is there no sooner than in 4 min; you can be done in 2 min."; null while time is not counted. */
function whenSentence({ oilMinutes, crewMinutes }: Timed, voice: Voice): string | null {
  if (oilMinutes === null || crewMinutes === null) return null;
  return voice.say('answers.oil-and-crew', { ...whenOf(oilMinutes), crew: wholeMinutes(crewMinutes) });
}

/** Where to go although it is too late, and why; null while time is not counted. */
function evenLateSentence(late: Timed, nameOf: (id: string) => string, voice: Voice): string | null {
  if (late.oilMinutes === null || late.crewMinutes === null) return null;
  const order = controlOrder({ control: late.control, at: nameOf(late.at) }, voice);
  return voice.say('answers.even-late', { order, ...whenOf(late.oilMinutes), crew: wholeMinutes(late.crewMinutes) });
}

/**
 * Why no control is placed, and what to do instead, each in whole sentences; null where some are. `place` says whether it stands
 * first or after a colon.
 */
export function nothingPlaced(
  {
    plan: { controls, waters },
    inlets,
    fluid,
    isTooLate,
  }: Pick<BlockAnswer, 'plan' | 'inlets' | 'fluid' | 'isTooLate'>,
  place: 'first' | 'after',
  voice: Voice,
): { why: string; instead: string } | null {
  const list = { waters: { list: waters } };
  const callNow = voice.say('answers.call-now');
  const reaches = (key: 'answers.gasoline-reaches' | 'answers.too-late-reaches') =>
    waters.length === 0 ? callNow : `${voice.say(key, list)} ${callNow}`;
  if (inlets.length === 0)
    return { why: voice.say('answers.nothing-drains', { place }), instead: voice.say('answers.take-up') };
  if (fluid === 'gasoline')
    return { why: voice.say('answers.gasoline', { place }), instead: reaches('answers.gasoline-reaches') };
  if (controls.length > 0) return null;
  if (isTooLate) return { why: voice.say('answers.too-late', { place }), instead: reaches('answers.too-late-reaches') };
  return waters.length > 0
    ? { why: voice.say('answers.cannot-block', { place, ...list }), instead: callNow }
    : { why: voice.say('answers.not-worth', { place }), instead: voice.say('answers.clean') };
}

/** The plan: what to do in one sentence, then what it costs and what it leaves. `nameOf` writes an id with its name. */
export function planSentences(answer: BlockAnswer, nameOf: (id: string) => string, voice: Voice): string[] {
  const { plan, inlets, fluid, isTooLate, isTimed, evenLate } = answer;
  const nothing = nothingPlaced(answer, 'first', voice);
  if (nothing) {
    const isLate = isTooLate && inlets.length > 0 && fluid !== 'gasoline';
    const allTheSame = isLate && evenLate && evenLateSentence(evenLate, nameOf, voice);
    return [`${nothing.why} ${nothing.instead}`, ...(allTheSame ? [allTheSame] : [])];
  }
  const when = isTimed ? whenSentence(plan.controls[0], voice) : null;
  const isCovered = plan.controls.some(({ control }) => control === 'cover');
  return [
    controlOrders(plan.controls, nameOf, voice),
    ...(when ? [when] : []),
    voice.say('answers.costs', {
      total: { money: plan.totalCost },
      controls: { money: plan.controlCost },
      cleanup: { money: plan.cleanupCost },
    }),
    plan.fouled.length > 0
      ? voice.say('answers.fouled', { places: { list: plan.fouled } })
      : voice.say(isCovered ? 'answers.nothing-below-a-pond' : 'answers.nothing-below'),
    ...(plan.waters.length > 0 ? [voice.say('answers.no-plan-keeps', { waters: { list: plan.waters } })] : []),
  ];
}

export function doNothingSentence({ doNothingCost, doNothingWaters, inlets }: BlockAnswer, voice: Voice): string {
  if (inlets.length === 0) return voice.say('answers.do-nothing-fouls-none');
  const cost = { money: doNothingCost };
  return doNothingWaters.length > 0
    ? voice.say('answers.do-nothing-reaches', { cost, waters: { list: doNothingWaters } })
    : voice.say('answers.do-nothing', { cost });
}

/** What the plan rests on. */
export function blockAssumptions(
  { isTimed, marginMinutes }: BlockAnswer,
  { others }: Pick<SiteMap, 'others'>,
  voice: Voice,
): string[] {
  const hasKits = others.some(({ properties }) => properties.kind === 'kit');
  return [
    isTimed ? voice.say('answers.assume-crew', { margin: marginMinutes }) : voice.say('answers.assume-no-crew'),
    voice.say(hasKits ? 'answers.assume-kits' : 'answers.assume-no-kit'),
    voice.say('answers.assume-costs'),
  ];
}
