import type { PlannedControl } from '../block/index.ts';
import type { Voice } from '../catalogue/index.ts';

type Ordered = Pick<PlannedControl, 'control' | 'at'>;

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
