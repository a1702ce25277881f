import type { PlannedControl } from '../../../block/index.ts';
import { controlOrder, orderWithin } from '../../../words/index.ts';
import { voice } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';

type Ordered = Pick<PlannedControl, 'at' | 'control'>;

/** A point goes by its id, as it stands on the map; a zone by its name. */
const named = ({ at, control }: Ordered) => ({ control, at: control === 'berm' ? nameOf(at) : at });

/** How a control is ordered on screen, first in a sentence. */
export const orderWords = (ordered: Ordered): string => controlOrder(named(ordered), voice.value);

/** The same inside a sentence. */
export const orderInside = (ordered: Ordered): string => orderWithin(named(ordered), voice.value);
