import { describe, expect, test } from 'vitest';
import { type BlockAnswer, type BlockQuestion, findBlocks } from '../../src/block/index.ts';
import { english } from '../support/english.ts';
import { type YardWords, yard } from '../support/yard.ts';

const LAT = 111_000;
/** A place so many metres north of the grate CB, which stands at -105, 40. */
const north = (metres: number): [number, number] => [-105, 40 + metres / LAT];
const point = (id: string, kind: string, coordinates: number[], properties: object = {}) => ({
  ...{ type: 'Feature', id },
  properties: { kind, ...properties },
  geometry: { type: 'Point', coordinates },
});

const COSTS = {
  controls: {
    cover: { cost: 40, minutes: 1, holds: 0.95 },
    sock: { cost: 20, minutes: 1, holds: 0.8, litres: 40 },
    valve: { cost: 10, minutes: 2, holds: 0.99 },
  },
};

/** CB → V → OUT, 60 m of pipe each, with a kit 20 m from the grate. */
const line = (more: Partial<YardWords> = {}, grate: object = {}): YardWords => ({
  site: { costs: COSTS },
  zones: { Z1: { drainsTo: 'CB', controls: [] } },
  structures: {
    CB: { kind: 'trench-drain', holds: 0, setting: 'sag', ...grate },
    V: { kind: 'valve' },
    OUT: { kind: 'outfall', receives: 'stream', controls: [] },
  },
  links: {
    P1: { from: 'CB', to: 'V', lengthM: 60, slope: 0.01 },
    P2: { from: 'V', to: 'OUT', lengthM: 60, slope: 0.01 },
  },
  others: [point('KIT', 'kit', north(20), { contents: { sorbentLitres: 80, covers: 1 } })],
  ...more,
});

const AT_GRATE = {
  place: { point: [-105, 40] as [number, number] },
  litres: 60,
  overMinutes: 10,
  fluid: 'diesel' as const,
};
const here = { id: 'here', position: [-105, 40] as [number, number] };

function ask(words: YardWords, question: Partial<BlockQuestion> = {}): BlockAnswer {
  const { answer, problems } = findBlocks(yard(words), { ...AT_GRATE, hands: [here], ...question });
  if (!answer) throw new Error(JSON.stringify(problems));
  return answer;
}

const stepsOf = ({ plan }: BlockAnswer) => plan.controls.map(({ control, at }) => `${control} ${at}`);

describe('a plan by litres', () => {
  test('at the own grate: cover, then sock, in time or not, by hand', () => {
    const answer = ask(line({ structures: { ...line().structures, V: { kind: 'manhole', controls: [] } } }));
    expect(stepsOf(answer)).toEqual(['cover CB', 'sock CB']);
    const [cover, sock] = answer.plan.controls;
    // 0.5 + 20 m × 1.25 ÷ 1.2 m/s + 0.25 + the same way back + 1.
    expect(cover).toMatchObject({ hand: 'here', kit: 'KIT', oilMinutes: 0 });
    expect(cover.crewMinutes).toBeCloseTo(2.4444, 1);
    expect(sock.crewMinutes).toBeCloseTo((cover.crewMinutes ?? 0) + 1, 9);
    const late = cover.crewMinutes ?? Number.NaN;
    const byHand = 6 * late + 0.05 * 6 + 0.05 * 0.2 * 6 * (9 - late);
    expect(answer.plan.litres.toWater).toBeCloseTo(byHand, 6);
    expect(answer.plan.litres.kept).toBeCloseTo(60 - byHand, 6);
    // With the sock alone, a minute later.
    const sockAlone = 6 * (late + 1) + 0.2 * 6 * (9 - late);
    expect(cover.keepsLitres).toBeCloseTo(sockAlone - byHand, 6);
    expect(answer).toMatchObject({ state: 'running', isTimed: true });
    // Late is a fact of a single, and no condition of a plan.
    expect(answer.singles[0]).toMatchObject({ control: 'cover', at: 'CB', inTime: false, inStock: true });
  });

  test('the own grate comes first where it still keeps a step, though the valve alone would keep as much out of the water', () => {
    const slow = ask(line(), { litres: 20, overMinutes: 30 });
    expect(stepsOf(slow)[0]).toMatch(/^(cover|sock) CB$/);
    // 200 L in two minutes are past the grate: then the valve.
    const fast = ask(line(), { litres: 200, overMinutes: 2 });
    expect(stepsOf(fast)[0]).not.toMatch(/CB$/);
  });

  test('a fuel stop comes before what is fetched from a kit', () => {
    const words = line();
    const stop = point('FS', 'fuel-stop', north(5), { stops: ['Z1'] });
    const answer = ask(
      { ...words, others: [...(words.others ?? []), stop] },
      { place: { zone: 'Z1' }, rainMmPerH: 20 },
    );
    expect(stepsOf(answer)[0]).toBe('fuel-stop FS');
    expect(answer.plan.controls[0].kit).toBeNull();
  });

  test('where dry ground likely keeps it all: absorb and a first step, no more; in rain a whole plan', () => {
    const words = line({ zones: { Z1: { drainsTo: 'CB' } } });
    const still = { place: { zone: 'Z1' }, litres: 2 / 60, isStill: true, overMinutes: undefined, hands: undefined };
    const dry = ask(words, still);
    expect(dry.plan.controls[0]).toMatchObject({ control: 'absorb', at: 'Z1' });
    expect(dry.plan.controls.length).toBeLessThanOrEqual(2);
    expect(dry.plan.why && english(dry.plan.why)).toContain('stays on the ground');
    const done = ask(words, {
      ...still,
      placed: dry.plan.controls.map(({ at, control }) => ({ at, control, minutes: 4 })),
      agoMinutes: 5,
    });
    expect(done).toMatchObject({ state: 'held', plan: { controls: [] } });
    expect(ask(words, { ...still, rainMmPerH: 20 }).plan.why).toBeNull();
  });

  test('nobody is sent to gasoline, nor to what may be; a plug only by trained people; no sock past an overland link', () => {
    for (const fluid of ['gasoline', 'unknown'] as const) {
      const answer = ask(line(), { fluid });
      expect(answer).toMatchObject({ state: 'hand-over', singles: [], plan: { controls: [] } });
      expect(answer.plan.why && english(answer.plan.why)).toContain('gasoline');
    }
    const plugs = line({ others: [] });
    plugs.structures = {
      CB: { kind: 'trench-drain', holds: 0, controls: [] },
      V: { kind: 'manhole', controls: [{ control: 'plug', minutes: 1 }] },
      OUT: { kind: 'outfall', receives: 'stream', controls: [] },
    };
    expect(stepsOf(ask(plugs))).toEqual([]);
    expect(ask(plugs).singles).toMatchObject([{ control: 'plug', needs: 'trained', crewMinutes: null }]);
    expect(stepsOf(ask(plugs, { hands: [{ ...here, isTrained: true }] }))).toEqual(['plug V']);
    const over = line({ links: { ...line().links, L1: { kind: 'overland', from: 'CB', to: 'V', lengthM: 60 } } });
    expect(ask(over).singles.map(({ control }) => control)).toEqual(['valve']);
  });

  test('a cover is not planned for a grate wider than those of the kit, and a valve that is closed not at all', () => {
    const kit = point('KIT', 'kit', north(20), { contents: { covers: 1 }, coverMm: 600 });
    expect(stepsOf(ask(line({ others: [kit] }, { openingMm: 600 })))).toContain('cover CB');
    const wide = ask(line({ others: [kit] }, { openingMm: 900 }));
    expect(stepsOf(wide)).not.toContain('cover CB');
    expect(wide.singles.find(({ control }) => control === 'cover')).toMatchObject({
      inStock: false,
      crewMinutes: null,
    });
    const closed = ask(line({ structures: { ...line().structures, V: { kind: 'valve', state: 'closed' } } }));
    expect(closed.singles.map(({ at }) => at)).not.toContain('V');
  });

  test('a public drain counts after water, and a place that others own is told among the waters', () => {
    const words = line({
      structures: { ...line().structures, OUT: { kind: 'outfall', receives: 'public drain', controls: [] } },
    });
    const { plan } = ask(words, { litres: 200, overMinutes: 2 });
    expect(plan.litres.toWater).toBe(0);
    expect(plan.litres.toPublicDrain).toBeGreaterThan(0);
    expect(plan.waters).toEqual(['OUT']);
  });

  test('after each step the plan is made anew, from where its hand stands, until it is held', () => {
    const words = line();
    const first = ask(words);
    const placed: NonNullable<BlockQuestion['placed']>[number][] = [];
    let answer = first;
    for (let count = 0; answer.plan.controls.length > 0; count++) {
      expect(count).toBeLessThan(5);
      const [{ at, control, kit, hand, crewMinutes }] = answer.plan.controls;
      const minutes = (answer.spill.agoMinutes ?? 0) + (crewMinutes ?? 0);
      placed.push({ at, control, kit, hand, minutes });
      const before = answer.plan.litres;
      answer = ask(words, { placed, agoMinutes: minutes });
      // Going on as planned keeps as much as was planned.
      expect(answer.plan.litres.toWater).toBeLessThanOrEqual(before.toWater + 0.02 * 60 + 1e-6);
      expect(
        answer.plan.controls.every(
          (next) => !placed.some((each) => each.at === next.at && each.control === next.control),
        ),
      ).toBe(true);
    }
    expect(placed.length).toBeGreaterThan(1);
    expect(['held', 'hand-over']).toContain(answer.state);
  });

  test('a hand that has been to a kit need not walk to it again, and what it took is out of it', () => {
    const words = line({ structures: { ...line().structures, V: { kind: 'manhole', controls: [] } } });
    const doer = { hand: 'here', kit: 'KIT' };
    const placed = [{ at: 'CB', control: 'cover' as const, minutes: 3, ...doer }];
    const [sock] = ask(words, { placed, agoMinutes: 3 }).plan.controls;
    expect(sock).toMatchObject({ control: 'sock', at: 'CB', kit: 'KIT' });
    expect(sock.crewMinutes).toBeCloseTo(1, 9);
    const twoGrates = line({ zones: { Z1: { drainsTo: ['CB', 'CB2'].map((to) => ({ to })), controls: [] } } });
    twoGrates.structures.CB2 = { kind: 'trench-drain', holds: 0, controls: [{ control: 'cover' }] };
    twoGrates.links = { ...twoGrates.links, P3: { from: 'CB2', to: 'V', lengthM: 60 } };
    const inStock = (more: Partial<BlockQuestion>) =>
      ask(twoGrates, { place: { zone: 'Z1' }, ...more }).singles.find(({ at }) => at === 'CB2')?.inStock;
    expect([inStock({}), inStock({ placed, agoMinutes: 3 })]).toEqual([true, false]);
  });

  test('while oil runs on past what is placed it is never held; with nothing left to place it is handed over', () => {
    const words = line({ structures: { ...line().structures, V: { kind: 'manhole', controls: [] } } });
    const placed = [{ at: 'CB', control: 'sock' as const, minutes: 2 }];
    const ruledOut = [{ at: 'CB', control: 'cover' as const }];
    const answer = ask(words, { placed, ruledOut, agoMinutes: 3 });
    expect(answer).toMatchObject({ state: 'hand-over', plan: { controls: [] } });
    // Once all of it has passed or is kept, what is placed holds.
    expect(ask(words, { placed, ruledOut, agoMinutes: 40 }).state).toBe('held');
    expect(ask(words, { hands: [] })).toMatchObject({ state: 'hand-over', plan: { controls: [] } });
  });

  test('a closed outlet says when the yard backs up at this rain, by levels where they are known, and is to be watched', () => {
    const levels = line({
      structures: {
        ...line().structures,
        V: { kind: 'valve', invert: 99 },
        CB: { kind: 'trench-drain', rim: 100.6, invert: 99.6, controls: [] },
      },
    });
    levels.zones = { Z1: { drainsTo: 'CB', controls: [], areaM2: 1000, runoffC: 0.9 } };
    const rain = { litres: 200, overMinutes: 5, rainMmPerH: 36, place: { zone: 'Z1' } };
    const answer = ask(levels, rain);
    expect(stepsOf(answer)).toEqual(['valve V']);
    // 60 m of full pipe of 300 mm, all under the rim; 0.9 × 36 mm/h × 1,000 m² = 9 L/s.
    const minutes = (60 * Math.PI * 0.15 ** 2 * 1000) / 9 / 60;
    expect(answer.backingUp).toMatchObject([{ at: 'V', floods: 'CB', from: 'levels' }]);
    expect(answer.backingUp[0].minutes).toBeCloseTo(minutes, 6);
    expect(answer.whilePlacing.map(english).join(' ')).toContain('V is closed');
    expect(
      ask({ ...levels, structures: { ...levels.structures, V: { kind: 'valve' } } }, rain).backingUp,
    ).toMatchObject([{ from: 'pipes' }]);
    expect(ask(levels, { ...rain, rainMmPerH: 0, place: AT_GRATE.place }).backingUp).toMatchObject([{ minutes: null }]);
  });

  test('without crews and kits time is not counted: controls are there before the oil and hold everything', () => {
    const answer = ask(line({ others: [] }), { hands: undefined });
    expect(answer.isTimed).toBe(false);
    expect(answer.plan.controls).toMatchObject([
      { at: 'CB', control: 'cover', crewMinutes: null, hand: null, kit: null },
    ]);
    expect(answer.plan).toMatchObject({ totalCost: 40, litres: { toWater: 0, kept: 60 }, fouled: [] });
    expect(answer.singles.every(({ inTime }) => inTime)).toBe(true);
  });
});
