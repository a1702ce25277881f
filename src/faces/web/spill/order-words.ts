import type { PlannedControl } from '../../../block/index.ts';
import { controlOrder } from '../../../words/index.ts';
import { voice } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';

type Ordered = Pick<PlannedControl, 'at' | 'control'>;

/** How a control is ordered on screen, first in a sentence. */
export const orderWords = (ordered: Ordered): string =>
  controlOrder({ ...ordered, at: nameOf(ordered.at) }, voice.value);
