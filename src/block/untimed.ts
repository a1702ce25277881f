import type { Drainage } from '../drainage/index.ts';
import type { PosedSpill } from '../spill/index.ts';
import type { BlockQuestion } from './answer.ts';
import { type Containment, cheapestContainment, type SpillNetwork, spillNetwork, withOnly } from './containment.ts';
import { controlsWithout } from './costs.ts';

const keyOf = ({ at, control }: { at: string; control: string }) => `${control} ${at}`;

/**
 * The plan while time is not counted: controls are in place before the oil and hold everything, so it is a minimum cut.
 * What is placed already costs nothing more and is not told again. O(edges) and a minimum cut.
 */
export function untimedPlan(
  drainage: Drainage,
  posed: PosedSpill,
  { placed = [], ruledOut = [] }: Pick<BlockQuestion, 'placed' | 'ruledOut'>,
): Containment {
  const { zone, waysIn } = posed.start;
  const without = controlsWithout(posed.mayBeGasoline ? 'gasoline' : posed.fluid);
  const spill = spillNetwork(drainage, { zone, inlets: waysIn.map(({ to }) => to), without });
  const [done, out] = [placed, ruledOut].map((list) => new Set<string>(list.map(keyOf)));
  const found = cheapestContainment(withOnly(withoutCost(spill, done), ({ gate }) => !out.has(keyOf(gate))));
  return { ...found, controls: found.controls.filter((gate) => !done.has(keyOf(gate))) };
}

/** The same network with some controls for nothing, which comes before any other of the same place. */
function withoutCost(spill: SpillNetwork, done: ReadonlySet<string>): SpillNetwork {
  if (done.size === 0) return spill;
  const choices = spill.choices.map((choice) =>
    done.has(keyOf(choice.gate)) ? { ...choice, gate: { ...choice.gate, cost: 0 } } : choice,
  );
  return { ...spill, choices: choices.sort((a, b) => a.gate.cost - b.gate.cost) };
}
