import { readFileSync } from 'node:fs';
import loadHighs from 'highs';
import { beforeAll, describe, expect, test } from 'vitest';
import { type IntegerSolver, integerSolver } from '../../../src/algorithms/index.ts';
import { compileDrainage } from '../../../src/drainage/index.ts';
import { createPlannerAnswers } from '../../../src/faces/web/compute/planner-answers.ts';
import type { Request, Response } from '../../../src/faces/web/compute/protocol.ts';
import { serve } from '../../../src/faces/web/compute/serve.ts';
import { budgetAt, sliderOfBudget } from '../../../src/faces/web/kits/budget-scale.ts';
import { shoppingList } from '../../../src/faces/web/state/plan-csv.ts';
import { speak } from '../../../src/faces/web/state/voice.ts';
import { findKits } from '../../../src/kits/index.ts';
import { findMeasures } from '../../../src/measures/index.ts';
import { readSiteMap } from '../../../src/site-map/index.ts';

beforeAll(() => speak('en'));

const garage = readFileSync('site-maps/two-bay-garage.geojson', 'utf8');
const gravel = readFileSync('site-maps/gravel-haul-yard.geojson', 'utf8');

let solver: IntegerSolver;
beforeAll(async () => {
  solver = integerSolver(await loadHighs());
});

/** The planner's answers, and how often its solver was called. */
function planner() {
  let solved = 0;
  const counting: IntegerSolver = (program) => {
    solved += 1;
    return solver(program);
  };
  return { answers: createPlannerAnswers(async () => counting), solved: () => solved };
}

describe('what the planner’s worker answers', () => {
  test('kits are placed on the map that is asked about, whichever was asked about before', async () => {
    const { answers } = planner();
    const spotsOf = async (mapText: string) => {
      const { answer } = await answers.kits({ mapText, count: 1, keep: true });
      return answer?.kits.map(({ spot }) => spot);
    };
    const inGarage = await spotsOf(garage);
    expect(inGarage).toHaveLength(2);
    const ids = new Set(readSiteMap(gravel).map.others.map(({ id }) => id));
    expect((await spotsOf(gravel))?.every((spot) => spot !== null && ids.has(spot))).toBe(true);
    expect(await spotsOf(garage)).toEqual(inGarage);
  });

  test('the answer comes before the curve; the curve comes a number of kits at a time, as all at once, and once for a map', async () => {
    const { answers, solved } = planner();
    expect((await answers.kits({ mapText: gravel, count: 2, keep: false })).answer).not.toHaveProperty('curve');
    expect(solved()).toBe(1);
    const parts: number[] = [];
    let soFar = await answers.kitsCurve({ mapText: gravel, keep: false });
    for (; soFar.part < 1; soFar = await answers.kitsCurve({ mapText: gravel, keep: false })) parts.push(soFar.part);
    const after = solved();
    expect(parts).toEqual(soFar.points.slice(1).map((_, at) => (at + 1) / soFar.points.length));
    const drainage = compileDrainage(readSiteMap(gravel).map);
    expect(soFar.points).toEqual(findKits(drainage, { count: 2 }, solver).answer?.curve);
    expect(await answers.kitsCurve({ mapText: gravel, keep: false })).toEqual(soFar);
    expect(solved()).toBe(after);
    // Kits that stay make another curve.
    const kept = await answers.kitsCurve({ mapText: gravel, keep: true });
    expect(kept.points[0].meanMinutes).toBeLessThanOrEqual(soFar.points[0].meanMinutes);
    expect(solved()).toBe(after + 1);
  });

  test('without a budget one is taken, and more is not spent; with one it is kept to', async () => {
    const { answers } = planner();
    const open = await answers.measures({ mapText: garage, budget: null });
    expect(open.budget).toBeGreaterThan(0);
    expect(open.budget).toBeLessThan(open.total);
    expect(open.answer?.cost).toBeLessThanOrEqual(open.budget);
    const all = await answers.measures({ mapText: garage, budget: open.total });
    expect(all.answer?.litresPerYear).toBeGreaterThan(open.answer?.litresPerYear ?? Number.POSITIVE_INFINITY);
    expect((await answers.measures({ mapText: garage, budget: 0 })).answer?.chosen).toEqual([]);
  });

  test('the frontier comes step by step, is the same as all at once, and is worked out once for a map', async () => {
    const { answers, solved } = planner();
    const parts: number[] = [];
    let soFar = await answers.frontier({ mapText: garage });
    for (parts.push(soFar.part); soFar.part < 1; parts.push(soFar.part)) {
      soFar = await answers.frontier({ mapText: garage });
      // A plan that is asked for in between is answered, and disturbs nothing.
      if (parts.length === 2) await answers.measures({ mapText: garage, budget: 500 });
    }
    expect(parts.length).toBeGreaterThan(3);
    expect(parts).toEqual([...parts].sort((a, b) => a - b));
    const { answer } = findMeasures(compileDrainage(readSiteMap(garage).map), { budget: 500 }, solver);
    expect(soFar.points).toEqual(answer?.frontier);
    expect(soFar.isWhole).toBe(answer?.frontierIsWhole);
    const before = solved();
    expect(await answers.frontier({ mapText: garage })).toEqual(soFar);
    expect(solved()).toBe(before);
  });

  test('a solver that could not be loaded is fetched again at the next question', async () => {
    let tries = 0;
    const answers = createPlannerAnswers(async () => {
      tries += 1;
      if (tries === 1) throw new Error('no network');
      return solver;
    });
    await expect(answers.kits({ mapText: garage, count: 1 })).rejects.toThrow('no network');
    expect((await answers.kits({ mapText: garage, count: 1 })).answer?.kits).toHaveLength(1);
    await answers.kits({ mapText: garage, count: 2 });
    expect(tries).toBe(2);
  });
});

describe('the worker’s queue', () => {
  test('while one answer takes its time, only the latest question of each kind waits, in the order of asking', async () => {
    const asked: string[] = [];
    let release = () => {};
    const held = new Promise<void>((resolve) => {
      release = resolve;
    });
    const sent: Response[] = [];
    const scope = { onmessage: null, postMessage: (response: Response) => void sent.push(response) };
    serve<'findings' | 'frontier'>(scope as unknown as DedicatedWorkerGlobalScope, {
      findings: async (question) => {
        asked.push('text' in question ? question.text : '');
        await held;
        return { findings: [], amounts: {}, problems: [] };
      },
      frontier: ({ mapText }) => {
        asked.push(mapText);
        throw new Error('broken');
      },
    });
    const post = (request: Request) =>
      (scope.onmessage as unknown as (event: { data: Request }) => void)({ data: request });
    const rest = () => new Promise((resolve) => setTimeout(resolve, 5));
    post({ number: 1, task: 'findings', ask: { text: 'first' } } as Request);
    await rest();
    post({ number: 2, task: 'findings', ask: { text: 'passed over' } } as Request);
    post({ number: 3, task: 'frontier', ask: { mapText: 'other' } } as Request);
    post({ number: 4, task: 'findings', ask: { text: 'last' } } as Request);
    await rest();
    expect(asked).toEqual(['first']);
    release();
    await expect.poll(() => sent.length).toBe(3);
    expect(asked).toEqual(['first', 'other', 'last']);
    expect(sent.map(({ number }) => number)).toEqual([1, 3, 4]);
    expect(sent[1]).toMatchObject({ failed: 'broken' });
  });
});

describe('the budget’s slider', () => {
  test('goes from nothing to all, always upwards, and an amount comes back to about its place', () => {
    const total = 349_149;
    const amounts = Array.from({ length: 101 }, (_, place) => budgetAt(place, total));
    expect([amounts[0], amounts[100]]).toEqual([0, total]);
    expect(amounts).toEqual([...amounts].sort((a, b) => a - b));
    for (const place of [10, 37, 80]) expect(sliderOfBudget(amounts[place], total)).toBeCloseTo(place, -0.5);
    expect(sliderOfBudget(2 * total, total)).toBe(100);
  });
});

describe('the shopping list', () => {
  const contents = { sorbentLitres: 378.5411784, covers: 1, plugs: 0, booms: 4 };
  const kit = {
    at: [-104.5, 40.25] as [number, number],
    serves: [],
    farthestMinutes: null,
    contents,
    meanWithout: null,
  };
  const lines = (units: 'us' | 'si') =>
    shoppingList(
      {
        kits: [
          { ...kit, place: 'Gate, "north"', spot: 'S1', isStanding: false, cost: 150, refill: null },
          { ...kit, place: 'Dock', spot: 'K1', isStanding: true, cost: 0, refill: { booms: 3 } },
          { ...kit, place: 'Full', spot: 'K2', isStanding: true, cost: 0, refill: {} },
        ],
        measures: [
          {
            measure: 'sweeping',
            at: 'Z1',
            place: '=HYPERLINK("x")',
            cost: 980,
            yearlyCost: 980,
            litresPerYear: 2,
            perLitre: 490,
            source: 'guess',
          },
        ],
      },
      { currency: 'USD', units },
    ).split('\r\n');

  test('has new kits, what standing ones lack and measures, in the site’s units; what lacks nothing is left out', () => {
    expect(lines('us')).toEqual([
      '\uFEFFwhat,where,id,latitude,longitude,sorbent (gal),covers,plugs,booms,cost (USD)',
      'New kit,"Gate, ""north""",S1,40.250000,-104.500000,100,1,0,4,150',
      'Refill kit,Dock,K1,40.250000,-104.500000,,,,3,',
      'Sweeping,"\'=HYPERLINK(""x"")",Z1,,,,,,,980',
      '',
    ]);
    expect(lines('si')[1]).toContain(',379,1,0,4,150');
  });
});
