import { describe, expect, test } from 'vitest';
import { amountAt, seededRandom } from '../../src/algorithms/index.ts';
import { poseSpill, spillModel } from '../../src/spill/index.ts';
import { type YardWords, yard } from '../support/yard.ts';

/** A drain in which every structure has two ways on, so that curves get too many points to be kept as they are. */
function mesh(size: number): YardWords {
  const random = seededRandom(5);
  const structures: Record<string, { kind: string }> = {};
  const links: Record<string, { from: string; to: string; lengthM: number }> = {};
  for (let at = 0; at < size; at++) {
    structures[`S${at}`] = { kind: at === size - 1 ? 'outfall' : 'manhole' };
    if (at + 1 < size) links[`P${at}`] = { from: `S${at}`, to: `S${at + 1}`, lengthM: 10 + 20 * random.uniform() };
    const skip = at + 2 + Math.floor(random.uniform() * 6);
    if (skip < size) links[`Q${at}`] = { from: `S${at}`, to: `S${skip}`, lengthM: 30 + 60 * random.uniform() };
  }
  return { zones: { Z1: { drainsTo: 'S0' } }, structures, links };
}

describe('a mesh, whose curves are kept on a grid', () => {
  const drainage = yard(mesh(80));
  const { posed } = poseSpill(drainage, { place: { zone: 'Z1' }, litres: 200, rainMmPerH: 10, fluid: 'diesel' });
  if (!posed) throw new Error('the spill is not posed');
  const model = spillModel(drainage, posed);
  const plug = (minutes: number) => ({ control: 'plug' as const, at: 'S40', minutes, holds: 0.9, litres: 60 });
  const minutes = Array.from({ length: 60 }, (_, at) => 5 * at);

  test('curves that would have too many points have no more than the grid', () => {
    const run = model.run([]);
    const counts = model.layout.reached.map(({ structure }) => run.curveAt(structure.id).minutes.length);
    expect(Math.max(...counts)).toBeGreaterThan(250);
    expect(Math.max(...counts)).toBeLessThan(260);
  });

  test('no litre is lost, at any minute', () => {
    for (const placed of [[], [plug(40)]])
      for (const minute of minutes) {
        const { released, ...parts } = model.run(placed).at(minute);
        expect(Object.values(parts).reduce((sum, litres) => sum + litres)).toBeCloseTo(released, 9);
      }
  });

  test('what is placed, and what is placed earlier, never lets more out by any minute', () => {
    const out = (placed: readonly ReturnType<typeof plug>[]) => model.run(placed).curveAt('S79');
    const [nothing, late, early] = [out([]), out([plug(60)]), out([plug(30)])];
    for (const minute of minutes) {
      expect(amountAt(late, minute)).toBeLessThanOrEqual(amountAt(nothing, minute) + 1e-9);
      expect(amountAt(early, minute)).toBeLessThanOrEqual(amountAt(late, minute) + 1e-9);
    }
    expect(early.amounts.at(-1)).toBeLessThan(199);
  });
});
