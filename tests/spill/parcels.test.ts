import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { amountAt, totalOf } from '../../src/algorithms/index.ts';
import { compileDrainage, type Drainage } from '../../src/drainage/index.ts';
import { readSiteMap } from '../../src/site-map/index.ts';
import {
  type PlacedControl,
  type PosedSpill,
  poseSpill,
  type SpillQuestion,
  spillModel,
} from '../../src/spill/index.ts';
import { type YardWords, yard } from '../support/yard.ts';
import { walkParcels } from './parcels.ts';

const PARCELS = 1000;

/** A yard of basins, manholes, a well and a separator, with splits, ways over the ground, and, where wanted, ways back. */
function yards({ hasLoops }: { hasLoops: boolean }): fc.Arbitrary<YardWords> {
  const count = 6;
  const part = fc.integer({ min: 0, max: 9 }).map((tenths) => tenths / 10);
  const litres = fc.integer({ min: 0, max: 40 });
  const structure = fc.oneof(
    fc.record({
      kind: fc.constantFrom('catch-basin', 'trench-drain'),
      holds: part,
      sumpLitres: litres,
      insert: fc.option(fc.record({ holds: part, litres }), { nil: undefined }),
    }),
    fc.record({ kind: fc.constant('manhole'), holds: part }),
    fc.record({
      kind: fc.constant('manhole'),
      pumped: fc.record({ lps: fc.integer({ min: 1, max: 20 }).map((each) => each / 20), startLitres: litres }),
    }),
    fc.record({ kind: fc.constant('valve'), state: fc.constantFrom('open', 'closed') }),
    fc.record({
      kind: fc.constant('separator'),
      lengthM: fc.constant(1),
      widthM: fc.constant(0.5),
      waterDepthM: fc.integer({ min: 1, max: 10 }).map((each) => each / 20),
      roomLitres: litres,
    }),
  );
  const link = fc.record({
    kind: fc.constantFrom('pipe', 'pipe', 'swale', 'overland'),
    from: fc.nat(count - 2),
    step: fc.integer({ min: 1, max: 3 }),
    lengthM: fc.integer({ min: 20, max: 80 }),
    slope: fc.constantFrom(0.005, 0.02, 0.05),
  });
  const back: fc.Arbitrary<{ from: number; to: number; lengthM: number }> = fc.record({
    from: fc.integer({ min: 2, max: count - 1 }),
    to: fc.nat(2),
    lengthM: fc.constant(40),
  });
  return fc
    .record({
      structures: fc.array(structure, { minLength: count - 1, maxLength: count - 1 }),
      links: fc.array(link, { minLength: 2, maxLength: 5 }),
      backs: hasLoops
        ? fc.array(back, { minLength: 1, maxLength: 1 })
        : fc.constant<{ from: number; to: number; lengthM: number }[]>([]),
    })
    .map(({ structures, links, backs }): YardWords => {
      const on = links.map(({ from, step, ...rest }) => ({
        ...rest,
        from: `S${from}`,
        to: `S${Math.min(count - 1, from + step)}`,
      }));
      const round = backs
        .filter(({ from, to }) => from > to)
        .map(({ from, to, lengthM }) => ({ kind: 'pipe', share: 0.4, lengthM, from: `S${from}`, to: `S${to}` }));
      const spine = Array.from({ length: count - 1 }, (_, at) => ({
        kind: 'pipe',
        lengthM: 30,
        from: `S${at}`,
        to: `S${at + 1}`,
      }));
      const end = { kind: 'pipe', lengthM: 20, from: `S${count - 1}`, to: 'OUT' };
      const wells = structures.flatMap((each, at) => ('pumped' in each ? [`S${at + 1}`] : []));
      return {
        zones: { Z: { areaM2: 400, drainsTo: 'S0' } },
        structures: {
          S0: { kind: 'catch-basin', holds: 0 },
          ...Object.fromEntries(structures.map((each, at) => [`S${at + 1}`, each])),
          OUT: { kind: 'outfall' },
        },
        links: Object.fromEntries([...spine, end, ...on, ...round].map((each, at) => [`L${at}`, each])),
        others: [
          device('STOP', { kind: 'fuel-stop', stops: ['Z'] }),
          device('TURN', { kind: 'diverter', at: 'S1', to: 'S4' }),
          ...(wells.length > 0 ? [device('SWITCH', { kind: 'pump-switch', stops: wells })] : []),
        ],
      };
    });
}

const device = (id: string, properties: object) => ({
  type: 'Feature',
  id,
  properties,
  geometry: { type: 'Point', coordinates: [-105, 40] },
});

const question = fc.record({
  litres: fc.integer({ min: 20, max: 300 }),
  overMinutes: fc.constantFrom(2, 10, 30),
  rainMmPerH: fc.constantFrom(0, 0, 10),
  fluid: fc.constantFrom('diesel', 'hydraulic-oil'),
});

/** Controls at times, with or without a limit to what they keep. */
const controls: fc.Arbitrary<PlacedControl[]> = fc
  .array(
    fc.record({
      where: fc.constantFrom(
        ...(['sock S0', 'cover S0', 'sock S2', 'boom S1', 'boom S3', 'plug S2', 'valve S4', 'boom OUT'] as const),
        ...(['berm Z', 'absorb Z', 'fuel-stop STOP', 'pump-switch SWITCH', 'diverter TURN'] as const),
      ),
      minutes: fc.integer({ min: 0, max: 60 }).map((each) => each / 2 + 0.013),
      holds: fc.constantFrom(0.5, 0.8, 0.95),
      litres: fc.constantFrom(5, 40, Number.POSITIVE_INFINITY),
    }),
    { maxLength: 4 },
  )
  .map((all) => {
    const seen = new Set<string>();
    return all.flatMap(({ where, ...rest }): PlacedControl[] => {
      if (seen.has(where)) return [];
      seen.add(where);
      return [{ ...controlAt(where), ...rest }];
    });
  });

function controlAt(where: string): Pick<PlacedControl, 'control' | 'at'> {
  const [control, at] = where.split(' ');
  const known = (
    ['sock', 'cover', 'boom', 'plug', 'valve', 'berm', 'absorb', 'fuel-stop', 'pump-switch', 'diverter'] as const
  ).find((each) => each === control);
  if (!known) throw new Error(where);
  return { control: known, at };
}

function posed(drainage: Drainage, asked: SpillQuestion): PosedSpill {
  const { posed: found } = poseSpill(drainage, asked);
  if (!found) throw new Error('no spill');
  return found;
}

/**
 * Holds what the program found to what the parcels did: in all, and by every minute at which parcels came, within some
 * parcels and some minutes.
 */
function holdTogether(
  drainage: Drainage,
  spill: PosedSpill,
  placed: readonly PlacedControl[],
  { countsGround = true, withinMinutes = 0, withinParcels = 8 } = {},
): void {
  const run = spillModel(drainage, spill).run(placed, { countsGround });
  const other = walkParcels(drainage, spill, placed, { parcels: PARCELS, countsGround });
  const parcel = spill.litres / PARCELS;
  // Each limit, control and link on the way may have one parcel in question.
  const litres = withinParcels * parcel + 1e-6;
  const minutes = Math.max(withinMinutes, (3 * spill.overMinutes) / PARCELS);
  expect(Math.abs(run.toWater - other.toWater), 'to water').toBeLessThan(litres);
  expect(Math.abs(run.pastGrates - other.pastGrates), 'past the grates').toBeLessThan(litres);
  const told = run.litres();
  expect(Math.abs(told.kept - other.kept), 'kept').toBeLessThan(litres);
  expect(Math.abs(told.onGround - other.onGround), 'on the ground').toBeLessThan(litres);
  expect(Math.abs(told.held - other.held), 'held').toBeLessThan(litres);
  for (const { id } of drainage.map.structures) {
    const came = other.entered.get(id) ?? [];
    const curve = run.curveAt(id);
    const all = came.reduce((sum, each) => sum + each.litres, 0);
    expect(Math.abs(totalOf(curve) - all), `in all into ${id}`).toBeLessThan(litres);
    let sum = 0;
    let worst = 0;
    for (const each of came) {
      worst = Math.max(worst, sum - amountAt(curve, each.minutes + minutes));
      sum += each.litres;
      worst = Math.max(worst, amountAt(curve, each.minutes - minutes) - sum);
    }
    expect(worst, `by every minute into ${id}`).toBeLessThan(litres);
  }
}

describe('a spill in parcels, walked through the map one by one, goes where the curves say, when they say', () => {
  const place = (drainage: Drainage): SpillQuestion['place'] => {
    const [lon, lat] = drainage.map.structures[0].position;
    return { point: [lon, lat] };
  };

  test('on yards without loops, with controls at any minute', () => {
    fc.assert(
      fc.property(
        yards({ hasLoops: false }),
        question,
        controls,
        fc.boolean(),
        (words, asked, placed, countsGround) => {
          const drainage = yard(words);
          holdTogether(drainage, posed(drainage, { place: { zone: 'Z' }, ...asked }), placed, { countsGround });
          holdTogether(drainage, posed(drainage, { place: place(drainage), ...asked }), placed, { countsGround });
        },
      ),
      { numRuns: 30 },
    );
  }, 120_000);

  test('round loops', () => {
    fc.assert(
      fc.property(yards({ hasLoops: true }), question, controls, (words, asked, placed) => {
        const drainage = yard(words);
        // A curve of many rounds is kept on a grid, and is then a step off; crumbs wait for one another at every round.
        holdTogether(drainage, posed(drainage, { place: place(drainage), ...asked }), placed, {
          withinMinutes: 1,
          withinParcels: 30,
        });
      }),
      { numRuns: 20, seed: 14 },
    );
  }, 120_000);

  for (const name of ['freight-depot', 'gravel-haul-yard', 'two-bay-garage'])
    test(`on every zone of the ${name}, doing nothing and with its grates covered after four minutes`, () => {
      const drainage = compileDrainage(readSiteMap(readFileSync(`site-maps/${name}.geojson`, 'utf8')).map);
      for (const zone of drainage.map.zones)
        for (const rainMmPerH of [0, 10]) {
          const asked = { litres: 60, overMinutes: 10, fluid: 'diesel' as const, rainMmPerH };
          const spill = posed(drainage, { place: { zone: zone.id }, ...asked });
          const covers = spill.start.waysIn.map(
            ({ to }): PlacedControl => ({ control: 'cover', at: to, minutes: 4.001, holds: 0.95, litres: 1e9 }),
          );
          for (const placed of [[], covers]) holdTogether(drainage, spill, placed, { withinMinutes: 0.5 });
        }
    });
});

describe('whatever the yard, with loops and controls at any minute', () => {
  const asked = (drainage: Drainage, words: Omit<SpillQuestion, 'place'>) =>
    posed(drainage, { place: { zone: drainage.map.zones[0].id }, ...words });

  test('at every minute the litres released are on the ground, held, kept, past, or moving', () => {
    fc.assert(
      fc.property(yards({ hasLoops: true }), question, controls, (words, spill, placed) => {
        const drainage = yard(words);
        const run = spillModel(drainage, asked(drainage, spill)).run(placed);
        for (const { released, ...parts } of [run.litres(), ...[0, 0.5, 3, 7.7, 20, 60, 300].map(run.at)]) {
          const sum = Object.values(parts).reduce((all, litres) => all + litres, 0);
          expect(Math.abs(sum - released)).toBeLessThan(1e-9 * spill.litres);
          expect(Math.min(...Object.values(parts))).toBeGreaterThan(-0.01 * spill.litres);
        }
      }),
      { numRuns: 30 },
    );
  });

  test('a control that is placed sooner, or one more, never lets more out', () => {
    fc.assert(
      fc.property(
        yards({ hasLoops: true }),
        question,
        controls.map((all) => all.filter(({ control }) => control !== 'diverter')),
        fc.integer({ min: 0, max: 20 }),
        (words, spill, placed, sooner) => {
          const drainage = yard(words);
          const model = spillModel(drainage, asked(drainage, spill));
          const out = model.run(placed).toWater;
          const least = 1e-6 * spill.litres;
          expect(model.run(placed.map((each) => ({ ...each, minutes: each.minutes - sooner }))).toWater).toBeLessThan(
            out + least,
          );
          expect(model.run(placed.slice(1)).toWater).toBeGreaterThan(out - least);
        },
      ),
      { numRuns: 30 },
    );
  });
});
