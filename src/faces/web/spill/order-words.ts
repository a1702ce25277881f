import type { PlannedControl } from '../../../block/index.ts';
import { controlOrder } from '../../../words/index.ts';
import { voice } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';

/** How a control is ordered on screen: by the point's id, as it stands on the map; a zone by its name. */
export const orderWords = ({ at, control }: Pick<PlannedControl, 'at' | 'control'>): string =>
  controlOrder({ control, at: control === 'berm' ? nameOf(at) : at }, voice.value);
