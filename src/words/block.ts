import type { BlockAnswer, BlockPlan } from '../block/index.ts';
import type { Voice } from '../catalogue/index.ts';
import type { SiteMap } from '../site-map/index.ts';
import { saidMinutes, takesMinutes } from './minutes.ts';

/** How a control is ordered, starting with a verb. */
const ORDERS: Record<BlockPlan['controls'][number]['control'], (at: string) => string> = {
  cover: (at) => `Cover ${at}`,
  boom: (at) => `Boom ${at}`,
  plug: (at) => `Plug the outlet of ${at}`,
  valve: (at) => `Close the valve ${at}`,
  berm: (at) => `Berm the spill on ${at}`,
};

type Ordered = Pick<BlockPlan['controls'][number], 'control' | 'at'>;

/** "Cover CB-1": an order, to stand first in a sentence. */
export const controlOrder = ({ control, at }: Ordered, _voice: Voice): string => ORDERS[control](at);

/** "cover CB-1": the same inside a sentence. */
export function orderWithin(ordered: Ordered, voice: Voice): string {
  const order = controlOrder(ordered, voice);
  return order[0].toLowerCase() + order.slice(1);
}

/** Several orders in one sentence: "Cover CB-1 and plug the outlet of MH-2." */
export function controlOrders(controls: readonly Ordered[], nameOf: (id: string) => string, voice: Voice): string {
  const orders = controls.map(({ control, at }, place) =>
    (place === 0 ? controlOrder : orderWithin)({ control, at: nameOf(at) }, voice),
  );
  return `${voice.list(orders)}.`;
}

type Timed = Pick<BlockPlan['controls'][number], 'at' | 'control' | 'oilMinutes' | 'crewMinutes'>;

/** "Oil is there in about 4 min; you can be done in 2 min."; null while time is not counted. */
function whenSentence({ oilMinutes, crewMinutes }: Timed, voice: Voice): string | null {
  if (oilMinutes === null || crewMinutes === null) return null;
  return `Oil is there ${saidMinutes(oilMinutes, voice)}; you can be done in ${takesMinutes(crewMinutes, voice)}.`;
}

/** Where to go although it is too late, and why; null while time is not counted. */
function evenLateSentence(late: Timed, nameOf: (id: string) => string, voice: Voice): string | null {
  if (late.oilMinutes === null || late.crewMinutes === null) return null;
  const order = controlOrder({ control: late.control, at: nameOf(late.at) }, voice);
  return `${order} all the same: oil can be there ${saidMinutes(late.oilMinutes, voice)}, you in ${takesMinutes(late.crewMinutes, voice)}. What comes after that is held.`;
}

/** The plan: what to do in one sentence, then what it costs and what it leaves. `nameOf` writes an id with its name. */
export function planSentences(
  { plan, inlets, fluid, isTooLate, isTimed, evenLate }: BlockAnswer,
  nameOf: (id: string) => string,
  voice: Voice,
): string[] {
  const money = (amount: number) => voice.text({ money: amount });
  if (fluid === 'gasoline' && inlets.length > 0) {
    const waters = plan.waters.length > 0 ? `Oil will reach ${voice.list(plan.waters)}. ` : '';
    return [`No one goes near gasoline to block it. ${waters}Call now.`];
  }
  if (inlets.length === 0) return ['Nothing drains from here. Take the oil up where it lies.'];
  if (plan.controls.length === 0 && isTooLate) {
    const waters = plan.waters.length > 0 ? ` It can get to ${voice.list(plan.waters)}.` : '';
    const allTheSame = evenLate && evenLateSentence(evenLate, nameOf, voice);
    return [`Nothing is sure to be in place before the oil.${waters} Call now.`, ...(allTheSame ? [allTheSame] : [])];
  }
  if (plan.controls.length === 0) {
    return plan.waters.length > 0
      ? [`Nothing can be blocked here: oil gets to ${voice.list(plan.waters)}. Call now.`]
      : ['Blocking costs more than it saves here. Take the oil up and clean what it got into.'];
  }
  const when = isTimed ? whenSentence(plan.controls[0], voice) : null;
  const sentences = [
    controlOrders(plan.controls, nameOf, voice),
    ...(when ? [when] : []),
    `Total ${money(plan.totalCost)}: controls ${money(plan.controlCost)}, clean-up ${money(plan.cleanupCost)}.`,
  ];
  const ponds = plan.controls.some(({ control }) => control === 'cover') ? 'If it ponds there, nothing' : 'Nothing';
  sentences.push(
    plan.fouled.length > 0 ? `Oil still gets into ${voice.list(plan.fouled)}.` : `${ponds} below gets oil in it.`,
  );
  if (plan.waters.length > 0) sentences.push(`No plan keeps it out of ${voice.list(plan.waters)}. Call now.`);
  return sentences;
}

export function doNothingSentence({ doNothingCost, doNothingWaters, inlets }: BlockAnswer, voice: Voice): string {
  if (inlets.length === 0) return 'Doing nothing fouls no structure.';
  const waters = doNothingWaters.length > 0 ? ` and lets oil into ${voice.list(doNothingWaters)}` : '';
  return `Doing nothing costs ${voice.text({ money: doNothingCost })}${waters}.`;
}

/** What the plan rests on. */
export function blockAssumptions(
  { isTimed, marginMinutes }: BlockAnswer,
  { others }: Pick<SiteMap, 'others'>,
  _voice: Voice,
): string[] {
  const hasKits = others.some(({ properties }) => properties.kind === 'kit');
  return [
    isTimed
      ? `One crew, walking, places the controls one after the other, each ${marginMinutes} min before the oil. Oil comes no sooner than said.`
      : 'No crew is on the map, so time is not counted: every control is taken to be in place before the oil.',
    hasKits
      ? 'Covers and plugs come from the kits on the map; booms and berms can be laid from sorbent.'
      : 'No kit is on the map, so what the crew has is not counted.',
    'Costs the map does not state are guesses, within a factor of 3.',
  ];
}
