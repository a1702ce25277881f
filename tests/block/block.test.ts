import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { minCut } from '../../src/algorithms/index.ts';
import { cheapestContainment } from '../../src/block/containment.ts';
import { type BlockAnswer, containmentWith, eachAlone, findBlocks, spillNetwork } from '../../src/block/index.ts';
import type { Drainage } from '../../src/drainage/index.ts';
import type { Fluid } from '../../src/site-map/index.ts';
import { english } from '../support/english.ts';
import { type YardWords, yard } from '../support/yard.ts';

/** Neither crews nor kits are on these maps: time is not counted, so a plan is the minimum cut. So much that ground keeps next to nothing. */
const LITRES = 100_000;
/** Prices that do not grow with the litres, so that sums can be checked by hand. */
const BY_REACH = { callOut: 0, perLitre: { stream: 0, publicDrain: 0 } };

function ask(drainage: Drainage, zone: string, fluid?: Fluid): BlockAnswer {
  const { answer, problems } = findBlocks(drainage, { place: { zone }, litres: LITRES, fluid });
  if (!answer) throw new Error(JSON.stringify(problems));
  return answer;
}

const controlsOf = ({ plan }: BlockAnswer) => plan.controls.map(({ control, at }) => `${control} ${at}`);

/** Z1 → CB-1 → MH-1 → SEP-1 → OUT-1, pipes of 10 m. */
const line = (more: Partial<YardWords> = {}): YardWords => ({
  site: { costs: BY_REACH },
  zones: { Z1: { drainsTo: 'CB-1' } },
  structures: {
    'CB-1': { kind: 'catch-basin' },
    'MH-1': { kind: 'manhole' },
    'SEP-1': { kind: 'separator' },
    'OUT-1': { kind: 'outfall', receives: 'stream' },
  },
  links: {
    P1: { from: 'CB-1', to: 'MH-1', lengthM: 10 },
    P2: { from: 'MH-1', to: 'SEP-1', lengthM: 10 },
    P3: { from: 'SEP-1', to: 'OUT-1', lengthM: 10 },
  },
  ...more,
});
const withStructures = (changes: Record<string, Record<string, unknown>>): YardWords => {
  const words = line();
  for (const [id, change] of Object.entries(changes)) words.structures[id] = { ...words.structures[id], ...change };
  return words;
};

describe('block', () => {
  test('the cheapest point is the first one, and its price and every total add up by hand', () => {
    const answer = ask(yard(line()), 'Z1');
    expect(controlsOf(answer)).toEqual(['cover CB-1']);
    expect(answer.plan).toMatchObject({ controlCost: 40, cleanupCost: 0, totalCost: 40, fouled: [], waters: [] });
    // 350 + 120 + 350 + 120 + 3,500 + 120 + 60,000: two structures, three pipes at 12 a metre, the separator, the stream.
    expect(answer.doNothingCost).toBe(64_560);
    expect(answer.doNothing.waters).toEqual(['OUT-1']);
    expect(answer.singles.map(({ control, at, totalCost }) => [control, at, totalCost])).toEqual([
      ['cover', 'CB-1', 40],
      ['berm', 'Z1', 60],
      ['boom', 'CB-1', 60 + 350],
      ['plug', 'CB-1', 80 + 350],
      ['plug', 'MH-1', 80 + 350 + 120 + 350],
      ['plug', 'SEP-1', 80 + 350 + 120 + 350 + 120 + 3500],
      // Too late for anything but the oil in the water, or soaked up before so much.
      ['boom', 'OUT-1', 60 + 64_560],
      ['sock', 'CB-1', 20 + 64_560],
      ['absorb', 'Z1', 20 + 64_560],
    ]);
  });

  test('costs of the site, of a control and of a structure win over the defaults', () => {
    const costs = { controls: { cover: { cost: 500 } }, cleanup: { manhole: 1000, stream: 7 }, pipePerM: 1 };
    const site = { costs: { ...BY_REACH, ...costs } };
    const words = {
      ...withStructures({ 'CB-1': { cleanupCost: 3 }, 'SEP-1': { controls: [{ control: 'plug', cost: 5 }] } }),
      site,
    };
    const answer = ask(yard(words), 'Z1');
    expect(controlsOf(answer)).toEqual(['berm Z1']);
    expect(answer.doNothingCost).toBe(3 + 10 + 1000 + 10 + 3500 + 10 + 7);
    expect(answer.singles.find(({ at }) => at === 'SEP-1')?.totalCost).toBe(5 + 3 + 10 + 1000 + 10 + 3500);
  });

  test('controls: [] leaves none; what stops oil then lies further down', () => {
    const words = withStructures({ 'CB-1': { controls: [] } });
    words.zones = { Z1: { drainsTo: 'CB-1', controls: [] } };
    expect(controlsOf(ask(yard(words), 'Z1'))).toEqual(['plug MH-1']);
  });

  test('a cover does nothing against oil that comes by pipe', () => {
    // Z1 → MH-0 by pipe → CB-1: only the boom or plug keeps oil in CB-1.
    const drainage = yard({
      zones: { Z1: { drainsTo: 'MH-0', controls: [] } },
      structures: {
        'MH-0': { kind: 'manhole', controls: [] },
        'CB-1': {
          kind: 'catch-basin',
          controls: [
            { control: 'cover', cost: 1 },
            { control: 'boom', cost: 2 },
          ],
        },
        'OUT-1': { kind: 'outfall' },
      },
      links: { P1: { from: 'MH-0', to: 'CB-1' }, P2: { from: 'CB-1', to: 'OUT-1' } },
    });
    const answer = ask(drainage, 'Z1');
    expect(controlsOf(answer)).toEqual(['boom CB-1']);
    expect(answer.singles.find(({ control }) => control === 'cover')?.totalCost).toBe(answer.doNothingCost + 1);
  });

  test('an overland link leaves past a cover, and a swale leads to the inlet where a cover stops it', () => {
    const words = (kind: string): YardWords => ({
      zones: { Z1: { drainsTo: 'CB-1', controls: [] } },
      structures: {
        'CB-1': { kind: 'catch-basin', controls: [{ control: 'cover', cost: 1 }] },
        'CB-2': { kind: 'catch-basin', controls: [{ control: 'cover', cost: 1 }] },
        'OUT-1': { kind: 'outfall' },
      },
      links: { L1: { kind, from: 'CB-1', to: 'CB-2', lengthM: 5 }, P2: { from: 'CB-2', to: 'OUT-1', lengthM: 5 } },
    });
    // An overland link leaves from before the grate, so a cover at CB-1 is not to be had.
    expect(controlsOf(ask(yard(words('overland')), 'Z1'))).toEqual(['cover CB-2']);
    expect(controlsOf(ask(yard(words('swale')), 'Z1'))).toEqual(['cover CB-1']);
    expect(controlsOf(ask(yard(words('pipe')), 'Z1'))).toEqual(['cover CB-1']);
  });

  test('never the water: oil is kept out of it even where letting it run would be cheaper', () => {
    const cheapStream = withStructures({
      'OUT-1': { cleanupCost: 1 },
      'CB-1': { cleanupCost: 0 },
      'MH-1': { cleanupCost: 0 },
      'SEP-1': { cleanupCost: 0 },
    });
    const answer = ask(yard({ ...cheapStream, site: { costs: { ...BY_REACH, pipePerM: 0 } } }), 'Z1');
    expect(answer.doNothingCost).toBe(1);
    expect(answer.plan.waters).toEqual([]);
    expect(controlsOf(answer)).toEqual(['cover CB-1']);
  });

  test('public structures are water too, and the plan stops oil before them', () => {
    const words = withStructures({
      'MH-1': { ownership: 'public', cleanupCost: 0 },
      'CB-1': { controls: [{ control: 'plug', cost: 9000 }] },
    });
    words.zones = { Z1: { drainsTo: 'CB-1', controls: [] } };
    expect(controlsOf(ask(yard(words), 'Z1'))).toEqual(['plug CB-1']);
  });

  test('when nothing can keep oil out of the water the plan says which water, and spends nothing in vain', () => {
    const words = line({ zones: { Z1: { drainsTo: 'CB-1', controls: [] } } });
    for (const id of Object.keys(words.structures)) words.structures[id].controls = [];
    const answer = ask(yard(words), 'Z1');
    expect(answer.plan).toMatchObject({ controls: [], waters: ['OUT-1'], totalCost: answer.doNothingCost });
  });

  test('a loop is no obstacle', () => {
    const words = line();
    words.links = { ...words.links, P4: { from: 'MH-1', to: 'CB-1', lengthM: 10 } };
    words.zones = { Z1: { drainsTo: 'CB-1', controls: [] } };
    words.structures['CB-1'].controls = [];
    // The circle CB-1 – MH-1 must be given up; the plug of MH-1 closes both its ways out, P2 and P4.
    const answer = ask(yard(words), 'Z1');
    expect(controlsOf(answer)).toEqual(['plug MH-1']);
    expect(answer.plan.fouled.sort()).toEqual(['CB-1', 'MH-1', 'P1']);
  });

  test('gasoline: advice first, and nobody is sent to a control; coolant: no boom', () => {
    const gasoline = ask(yard(line()), 'Z1', 'gasoline');
    expect(gasoline.plan.controls).toEqual([]);
    expect(gasoline.singles).toEqual([]);
    expect(gasoline.advice.map(english).join(' ')).toMatch(/no ignition.*fire service/i);
    const coolant = ask(
      yard(withStructures({ 'CB-1': { controls: [{ control: 'boom', cost: 1 }] } })),
      'Z1',
      'coolant',
    );
    expect(coolant.singles.some(({ control }) => control === 'boom')).toBe(false);
    expect(coolant.advice.map(english).join(' ')).toMatch(/does not float/);
  });

  test('the fluid of a zone that lists only gasoline is gasoline; where it is one of several nobody is sent until somebody says that it is none', () => {
    const fluids = (...names: string[]) =>
      line({ zones: { Z1: { drainsTo: 'CB-1', fluids: names.map((fluid) => ({ fluid })) } } });
    expect(ask(yard(fluids('gasoline')), 'Z1')).toMatchObject({ fluid: 'gasoline', plan: { controls: [] } });
    const either = ask(yard(fluids('gasoline', 'diesel')), 'Z1');
    expect(either.advice.map(english).join(' ')).toMatch(/^It may be gasoline/);
    expect(controlsOf(either)).toEqual([]);
    expect(
      ask(yard(fluids('diesel')), 'Z1')
        .cautions.map(english)
        .join(' '),
    ).not.toContain('Gasoline');
  });

  test('a public pipe is water too', () => {
    const words = line({ zones: { Z1: { drainsTo: 'CB-1', controls: [] } } });
    words.structures['CB-1'].controls = [{ control: 'boom', cost: 900 }];
    words.links = { ...words.links, P1: { from: 'CB-1', to: 'MH-1', lengthM: 10, ownership: 'public' } };
    expect(controlsOf(ask(yard(words), 'Z1'))).toEqual(['boom CB-1']);
  });

  test('a covered grate on a grade lets oil run on to the next inlet, so that is covered too; in a sag nothing is said', () => {
    const words: YardWords = {
      zones: { Z1: { drainsTo: 'CB-1', controls: [] } },
      structures: {
        'CB-1': { kind: 'catch-basin', setting: 'on-grade', spillsTo: 'CB-2' },
        'CB-2': { kind: 'catch-basin', setting: 'sag' },
        'OUT-1': { kind: 'outfall' },
      },
      links: { P1: { from: 'CB-1', to: 'OUT-1' }, P2: { from: 'CB-2', to: 'OUT-1' } },
    };
    const answer = ask(yard(words), 'Z1');
    expect(controlsOf(answer)).toEqual(['cover CB-1', 'cover CB-2']);
    expect(answer.whilePlacing.map(english)).toEqual([
      'CB-1 is on a grade: covered, it lets the oil run on to CB-2. Be there too.',
    ]);
  });

  test('a point inside a zone is a spill in that zone; near an inlet it drains there with a warning; else nothing drains', () => {
    const drainage = yard(line());
    const at = (lon: number, lat: number) => findBlocks(drainage, { place: { point: [lon, lat] }, litres: 10 });
    expect(at(-104.9998, 40.0102).answer?.zone).toBe('Z1');
    const near = at(-105.0002, 40);
    expect(near.answer).toMatchObject({ zone: null, inlets: ['CB-1'] });
    expect(near.problems).toMatchObject([{ code: 'inlet-guessed', severity: 'warning' }]);
    const far = at(-105.01, 40);
    expect(far.answer).toMatchObject({ inlets: [], doNothingCost: 0, plan: { controls: [], totalCost: 0 } });
    expect(far.problems).toMatchObject([{ code: 'no-inlet', severity: 'warning' }]);
  });

  test('a zone that is not on the map is a named problem', () => {
    expect(findBlocks(yard(line()), { place: { zone: 'Z9' }, litres: 1 })).toMatchObject({
      answer: null,
      problems: [{ code: 'unknown-id', severity: 'error' }],
    });
  });
});

/** Random yards of up to eight structures with prices, loops and splits. */
const yards = fc
  .record({
    inlets: fc.uniqueArray(fc.nat(6), { minLength: 1, maxLength: 3 }),
    kinds: fc.array(fc.constantFrom('catch-basin', 'manhole', 'separator', 'outfall'), { minLength: 7, maxLength: 7 }),
    cleanups: fc.array(fc.nat(400), { minLength: 7, maxLength: 7 }),
    controls: fc.array(fc.subarray(['cover', 'boom', 'plug'] as const), { minLength: 7, maxLength: 7 }),
    prices: fc.array(fc.nat(300), { minLength: 7, maxLength: 7 }),
    links: fc.array(fc.tuple(fc.nat(6), fc.nat(6), fc.constantFrom('pipe', 'pipe', 'swale', 'overland')), {
      maxLength: 10,
    }),
  })
  .map(
    ({ inlets, kinds, cleanups, controls, prices, links }): YardWords => ({
      zones: { Z1: { drainsTo: inlets.map((at) => ({ to: `S${at}` })) } },
      structures: Object.fromEntries(
        kinds.map((kind, at) => [
          `S${at}`,
          {
            kind,
            cleanupCost: cleanups[at],
            controls:
              kind === 'outfall' ? [] : controls[at].map((control, more) => ({ control, cost: prices[at] + 7 * more })),
          },
        ]),
      ),
      links: Object.fromEntries(
        links.map(([from, to, kind], at) => [`P${at}`, { kind, from: `S${from}`, to: `S${to}`, lengthM: 3 }]),
      ),
    }),
  );

describe('the containment', () => {
  test('is proved: nothing it protects can be reached past its controls, and its cost is the value of a flow', () => {
    fc.assert(
      fc.property(yards, (words) => {
        const drainage = yard(words);
        const zone = drainage.map.zones[0];
        const spill = spillNetwork(drainage, { zone, inlets: zone.inlets.map(({ to }) => to), without: [] });
        const plan = cheapestContainment(spill);
        // Reach with just the plan's controls closed, walked anew, fouls exactly what the plan says.
        const closed = spill.choices.filter(({ gate }) =>
          plan.controls.some(({ at, control }) => at === gate.at && control === gate.control),
        );
        const walked = containmentWith(spill, closed);
        expect(walked.fouled.map(({ id }) => id).sort()).toEqual(plan.fouled.map(({ id }) => id).sort());
        expect(walked.totalCost).toBeCloseTo(plan.totalCost, 9);
        const { value, flow } = minCut(spill.network, spill.source, spill.sink);
        const intoSink = spill.network.to.reduce((sum, to, edge) => sum + (to === spill.sink ? flow[edge] : 0), 0);
        expect(intoSink).toBe(value);
        if (plan.waters.length === 0) expect(value * spill.unit).toBeCloseTo(plan.totalCost, 3);
      }),
      { seed: 41, numRuns: 300 },
    );
  });

  test('what each control alone leaves is what a walk with just that one closed finds', () => {
    fc.assert(
      fc.property(yards, (words) => {
        const drainage = yard(words);
        const zone = drainage.map.zones[0];
        const spill = spillNetwork(drainage, { zone, inlets: zone.inlets.map(({ to }) => to), without: [] });
        eachAlone(spill).forEach(({ cleanupCost, waters }, at) => {
          const walked = containmentWith(spill, [spill.choices[at]]);
          expect(cleanupCost).toBeCloseTo(walked.cleanupCost, 6);
          expect(waters.sort()).toEqual([...walked.waters].sort());
        });
      }),
      { seed: 44, numRuns: 300 },
    );
  });

  test('no set of controls does better: every one of them is tried on yards of up to twelve gates', () => {
    let [drawn, tried] = [0, 0];
    fc.assert(
      fc.property(yards, (words) => {
        drawn++;
        const drainage = yard(words);
        const zone = drainage.map.zones[0];
        const spill = spillNetwork(drainage, { zone, inlets: zone.inlets.map(({ to }) => to), without: [] });
        if (spill.choices.length > 12) return;
        tried++;
        let best = { waters: Number.POSITIVE_INFINITY, cost: Number.POSITIVE_INFINITY };
        for (let set = 0; set < 1 << spill.choices.length; set++) {
          const { waters, totalCost } = containmentWith(
            spill,
            spill.choices.filter((_, at) => (set >> at) & 1),
          );
          if (waters.length < best.waters || (waters.length === best.waters && totalCost < best.cost))
            best = { waters: waters.length, cost: totalCost };
        }
        const plan = cheapestContainment(spill);
        expect(plan.waters.length).toBe(best.waters);
        expect(plan.totalCost).toBeCloseTo(best.cost, 6);
      }),
      { seed: 42, numRuns: 150 },
    );
    expect(tried / drawn).toBeGreaterThan(0.4);
  });

  test('dearer clean-up never makes the plan let more oil through than doing nothing, and never dearer than any single control', () => {
    fc.assert(
      fc.property(yards, (words) => {
        const drainage = yard(words);
        const zone = drainage.map.zones[0];
        const spill = spillNetwork(drainage, { zone, inlets: zone.inlets.map(({ to }) => to), without: [] });
        const [plan, nothing] = [cheapestContainment(spill), containmentWith(spill, [])];
        const reached = plan.waters.length;
        if (reached === nothing.waters.length) expect(plan.totalCost).toBeLessThanOrEqual(nothing.totalCost + 1e-6);
        for (const single of spill.choices.map((choice) => containmentWith(spill, [choice]))) {
          if (single.waters.length === reached) expect(plan.totalCost).toBeLessThanOrEqual(single.totalCost + 1e-6);
          expect(reached).toBeLessThanOrEqual(single.waters.length);
        }
      }),
      { seed: 43, numRuns: 200 },
    );
  });

  test('is the plan where time is not counted: the same controls, the same costs of them, the same waters', () => {
    let withControls = 0;
    fc.assert(
      fc.property(yards, (words) => {
        // A cover or sock is not to be had where an overland link leaves.
        const links = Object.values(words.links ?? {});
        if (links.some(({ kind }) => kind === 'overland')) return;
        const drainage = yard(words);
        const zone = drainage.map.zones[0];
        const cut = cheapestContainment(
          spillNetwork(drainage, { zone, inlets: zone.inlets.map(({ to }) => to), without: [] }),
        );
        const answer = ask(drainage, 'Z1');
        if (answer.plan.controls.length > 0) withControls++;
        expect(controlsOf(answer)).toEqual(cut.controls.map(({ at, control }) => `${control} ${at}`));
        expect(answer.plan.controlCost).toBeCloseTo(cut.controlCost, 9);
        expect([...answer.plan.waters].sort()).toEqual([...cut.waters].sort());
      }),
      { seed: 45, numRuns: 200 },
    );
    expect(withControls).toBeGreaterThan(20);
  });
});
