import fc from 'fast-check';
import { expect, test } from 'vitest';
import { beginningOf } from '../../src/algorithms/index.ts';
import { FLUIDS } from '../../src/site-map/index.ts';
import { poseSpill, spillModel } from '../../src/spill/index.ts';
import { type YardWords, yard } from '../support/yard.ts';

/** Small yards without loops: basins with sumps and inserts, wells, separators, swales, links over the ground, splits and relief pipes. */
const yards: fc.Arbitrary<YardWords> = fc.integer({ min: 3, max: 9 }).chain((count) => {
  const litres = fc.integer({ min: 0, max: 80 });
  const part = fc.integer({ min: 0, max: 10 }).map((tenths) => tenths / 10);
  const structure = fc.oneof(
    fc.record({
      kind: fc.constant('catch-basin'),
      sumpLitres: litres,
      holds: part,
      insert: fc.option(fc.record({ holds: part, litres }), { nil: undefined }),
    }),
    fc.record({ kind: fc.constant('manhole') }),
    fc.record({
      kind: fc.constant('manhole'),
      pumped: fc.record({ lps: fc.integer({ min: 1, max: 400 }).map((each) => each / 20), startLitres: litres }),
    }),
    fc.record({
      kind: fc.constant('separator'),
      lengthM: fc.constant(1),
      widthM: fc.constant(0.5),
      waterDepthM: fc.double({ min: 0.01, max: 1, noNaN: true }),
      designFlowLps: fc.double({ min: 1, max: 10, noNaN: true }),
    }),
  );
  const link = fc.record({
    kind: fc.constantFrom('pipe', 'pipe', 'swale', 'overland'),
    from: fc.nat(count - 2),
    step: fc.integer({ min: 1, max: 3 }),
    lengthM: fc.double({ min: 1, max: 80, noNaN: true }),
    slope: fc.double({ min: 0.001, max: 0.05, noNaN: true }),
    share: fc.option(part, { nil: undefined }),
    aboveLps: fc.option(fc.integer({ min: 1, max: 30 }), { nil: undefined }),
  });
  return fc
    .record({
      structures: fc.array(structure, { minLength: count, maxLength: count }),
      links: fc.array(link, { minLength: count, maxLength: 2 * count }),
    })
    .map(
      ({ structures, links }): YardWords => ({
        zones: { Z: { areaM2: 400, drainsTo: 'S0' } },
        structures: {
          ...Object.fromEntries(structures.map((each, at) => [`S${at}`, at === 0 ? { kind: 'catch-basin' } : each])),
          OUT: { kind: 'outfall' },
        },
        links: {
          ...Object.fromEntries(
            links.map(({ from, step, ...rest }, at) => [
              `L${at}`,
              { ...rest, from: `S${from}`, to: `S${Math.min(count - 1, from + step)}` },
            ]),
          ),
          END: { from: `S${count - 1}`, to: 'OUT', lengthM: 20 },
        },
      }),
    );
});

test('the likely first drop is nowhere sooner than "no sooner than", whatever stands in its way, dry and in rain', () => {
  fc.assert(
    fc.property(
      yards,
      fc.record({
        litres: fc.double({ min: 1, max: 2000, noNaN: true }),
        overMinutes: fc.double({ min: 0.5, max: 120, noNaN: true }),
        rainMmPerH: fc.constantFrom(0, 0, 1, 25),
        fluid: fc.constantFrom(...FLUIDS),
      }),
      (words, question) => {
        const drainage = yard(words);
        const [lon, lat] = drainage.map.structures[0].position;
        const { posed } = poseSpill(drainage, { place: { point: [lon, lat] }, ...question });
        if (!posed) throw new Error('no spill');
        const { arrivals, layout, run } = spillModel(drainage, posed);
        const first = run([]).firstEntries();
        layout.reached.forEach(({ index }, at) => {
          const minutes = arrivals.minutes[index];
          expect(beginningOf(first[at])).toBeGreaterThanOrEqual(minutes * (1 - 1e-9) - 1e-9);
        });
      },
    ),
    { numRuns: 300 },
  );
});
