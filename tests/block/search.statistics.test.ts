import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cheapestContainment } from '../../src/block/containment.ts';
import { cleanUpOf, spillNetwork } from '../../src/block/index.ts';
import { bestPlan } from '../../src/block/search.ts';
import { type Situation, situationOf } from '../../src/block/situation.ts';
import { triedRun } from '../../src/block/tried.ts';
import { compareLitres, compareOutcomes, type Outcome } from '../../src/block/value.ts';
import { lengthOf, type Position } from '../../src/site-map/index.ts';
import { poseSpill } from '../../src/spill/index.ts';
import { type YardWords, yard } from '../support/yard.ts';

const point = (id: string, kind: string, coordinates: number[], properties: object = {}) => ({
  type: 'Feature',
  id,
  properties: { kind, ...properties },
  geometry: { type: 'Point', coordinates },
});

/** Random small yards with a well, kits and crews, and few controls, so that all plans can be tried. */
const yards = fc
  .record({
    kinds: fc.array(fc.constantFrom('catch-basin', 'trench-drain', 'manhole', 'separator'), {
      minLength: 5,
      maxLength: 5,
    }),
    inlets: fc.uniqueArray(fc.nat(4), { minLength: 1, maxLength: 2 }),
    ends: fc.array(fc.constantFrom('stream', 'public drain'), { minLength: 2, maxLength: 2 }),
    links: fc.array(fc.tuple(fc.nat(4), fc.nat(6), fc.integer({ min: 2, max: 200 })), { minLength: 4, maxLength: 8 }),
    controls: fc.uniqueArray(fc.tuple(fc.nat(5), fc.nat(4)), {
      minLength: 1,
      maxLength: 5,
      selector: ([at, which]) => `${at} ${which}`,
    }),
    minutes: fc.array(fc.integer({ min: 1, max: 8 }), { minLength: 5, maxLength: 5 }),
    kits: fc.array(fc.record({ x: fc.nat(5), covers: fc.nat(2), plugs: fc.nat(1), socks: fc.nat(2) }), {
      maxLength: 2,
    }),
    hands: fc.array(fc.nat(5), { minLength: 1, maxLength: 2 }),
    litres: fc.constantFrom(20, 60, 200),
    overMinutes: fc.constantFrom(2, 10, 30),
    rainMmPerH: fc.constantFrom(0, 10),
    well: fc.boolean(),
  })
  // Two hands with two kits have so many plans that few controls are enough.
  .map((drawn) =>
    drawn.hands.length * drawn.kits.length > 2 ? { ...drawn, controls: drawn.controls.slice(0, 3) } : drawn,
  );
type Drawn = typeof yards extends fc.Arbitrary<infer T> ? T : never;

const AT_STRUCTURE = ['sock', 'cover', 'boom', 'plug', 'valve'];
const STEP = 0.0002;

function wordsOf({ kinds, inlets, ends, links, controls, minutes, kits, hands, well }: Drawn): YardWords {
  const at = (place: number) =>
    controls.flatMap(([where, which], each) => (where === place ? [{ which, minutes: minutes[each] }] : []));
  return {
    zones: {
      Z1: {
        drainsTo: inlets.map((each) => ({ to: `S${each}` })),
        controls: at(5)
          .map(({ which, minutes }) => ({ control: which % 2 === 0 ? 'berm' : 'absorb', minutes }))
          .slice(0, 1),
      },
    },
    structures: Object.fromEntries([
      ...kinds.map((kind, each) => [
        `S${each}`,
        {
          kind,
          ...(well && kind === 'manhole' ? { pumped: { lps: 0.2, startLitres: 10 } } : {}),
          controls: at(each).map(({ which, minutes }) => ({ control: AT_STRUCTURE[which], minutes })),
        },
      ]),
      ...ends.map((receives, each) => [`S${5 + each}`, { kind: 'outfall', receives, controls: [] }]),
    ]),
    links: Object.fromEntries(
      links.map(([from, to, lengthM], each) => [`P${each}`, { from: `S${from}`, to: `S${to}`, lengthM }]),
    ),
    others: [
      ...hands.map((x, each) => point(`CREW-${each}`, 'crew', [-105 + STEP * x, 40.0002], { trained: true })),
      ...kits.map(({ x, ...contents }, each) => point(`KIT-${each}`, 'kit', [-105 + STEP * x, 39.9998], { contents })),
    ],
  };
}

function situationIn(drawn: Drawn, words = wordsOf(drawn)): Situation {
  const drainage = yard(words);
  const { litres, overMinutes, rainMmPerH } = drawn;
  const question = {
    ...{ place: { zone: 'Z1' }, litres, overMinutes, rainMmPerH },
    fluid: 'diesel' as const,
    hands: drainage.map.others.flatMap(({ id, properties, geometry }) =>
      properties.kind === 'crew' && geometry.type === 'Point' ? [{ id, position: geometry.coordinates }] : [],
    ),
  };
  const { posed } = poseSpill(drainage, question);
  if (!posed) throw new Error('no such zone');
  return situationOf(drainage, posed, { question, facts: undefined });
}

/** What a list of placed controls leaves, by the model, and what it costs. */
function leftBy({ model, crew }: Situation, placed: readonly { offer: number; minutes: number }[]): Outcome {
  const run = model.run(
    placed.map(({ offer, minutes }) => {
      const { at, control, holds, litres } = crew.offers[offer];
      return { at, control, holds, litres, minutes };
    }),
    { countsGround: false },
  );
  const costs = placed.reduce((sum, { offer }) => sum + crew.offers[offer].cost, 0);
  return {
    litres: [run.toWater, run.toPublicDrain, run.pastGrates],
    money: costs + cleanUpOf(model.drainage.map, run.fouled(0)).cost,
  };
}

/** The best of all plans: every set of controls, in every order, by every hand and with every kit. Apart from the room. */
function bestOfAll(situation: Situation, placed: (place: readonly { offer: number; minutes: number }[]) => void): void {
  const { crew } = situation;
  const walk = (a: Position, b: Position) => (lengthOf([a, b]) * 1.25) / 1.2 / 60;
  const stock = crew.kits.map((kit) => ({ ...kit.stock }));
  const hands = crew.starts.map(({ position, free }) => ({ position, free, been: new Set<number>() }));
  const done: { offer: number; minutes: number }[] = [];
  const goOn = () => {
    placed(done);
    const last = done.at(-1)?.minutes ?? 0;
    crew.offers.forEach((offer, number) => {
      if (done.some((each) => each.offer === number)) return;
      const fromKit = offer.control !== 'valve' && crew.kits.length > 0;
      for (const hand of hands)
        for (const kit of fromKit ? crew.kits.keys() : [-1]) {
          if (kit >= 0 && stock[kit][offer.control] < 1) continue;
          const before = { ...hand, been: new Set(hand.been) };
          const by = kit < 0 || hand.been.has(kit) ? null : crew.kits[kit].position;
          const walked = by
            ? walk(hand.position, by) + 0.25 + walk(by, offer.position)
            : walk(hand.position, offer.position);
          const minutes = hand.free + walked + offer.minutes;
          if (minutes < last) continue;
          if (kit >= 0) {
            stock[kit][offer.control]--;
            hand.been.add(kit);
          }
          Object.assign(hand, { position: offer.position, free: minutes });
          done.push({ offer: number, minutes });
          goOn();
          done.pop();
          Object.assign(hand, before);
          if (kit >= 0) stock[kit][offer.control]++;
        }
    });
  };
  goOn();
}

const PROVED = {
  mostTried: Number.POSITIVE_INFINITY,
  mostForMoney: Number.POSITIVE_INFINITY,
  slack: { money: 0, share: 0 },
  source: null,
  first: [],
};

function searched(situation: Situation, more: Partial<typeof PROVED> = {}) {
  const { model, crew, nothing, steps, cleanUpAfter } = situation;
  return bestPlan({ crew, nothing: triedRun(model, nothing.sure, cleanUpAfter), steps, ...PROVED, ...more });
}

describe('the search for a plan', () => {
  test('finds what trying every set of controls in every order by every hand finds', () => {
    let [tried, nodes, withControls] = [0, 0, 0];
    fc.assert(
      fc.property(yards, (drawn) => {
        const situation = situationIn(drawn);
        const { steps } = situation;
        const known = new Map<string, Outcome>();
        let best = leftBy(situation, []);
        bestOfAll(situation, (placed) => {
          tried++;
          const key = placed.map(({ offer, minutes }) => `${offer} ${minutes.toFixed(9)}`).join();
          const outcome = known.get(key) ?? leftBy(situation, placed);
          known.set(key, outcome);
          if (compareOutcomes(outcome, best, steps) < 0) best = outcome;
        });
        const found = searched(situation);
        nodes += found.tried;
        if (found.steps.length > 0) withControls++;
        expect(compareOutcomes(found.outcome, best, steps)).toBe(0);
        expect(found.gap).toEqual({ litres: [0, 0, 0], money: 0 });
        // The plan leaves what it says, looked at anew.
        expect(compareOutcomes(leftBy(situation, found.steps), found.outcome, steps)).toBe(0);
        // With the slack that plans have, no litre is worse, and money by no more than the slack.
        const slack = { money: 50, share: 0.02 };
        const near = searched(situation, { slack });
        expect(compareLitres(near.outcome.litres, best.litres, steps)).toBe(0);
        expect(near.outcome.money).toBeLessThanOrEqual(best.money + Math.max(50, 0.02 * near.outcome.money) + 1e-6);
        expect(near.gap.money).toBeGreaterThanOrEqual(near.outcome.money - best.money - 1e-6);
      }),
      { seed: 14, numRuns: 300 },
    );
    expect(withControls).toBeGreaterThan(100);
    expect(nodes).toBeLessThan(tried);
  });
});

const compared = (a: Situation, b: Situation) => compareOutcomes(searched(a).outcome, searched(b).outcome, a.steps);

describe('a plan is never worse', () => {
  const others = (words: YardWords, change: (feature: ReturnType<typeof point>) => ReturnType<typeof point>[]) => ({
    ...words,
    others: ((words.others ?? []) as ReturnType<typeof point>[]).flatMap(change),
  });

  test('with one hand more, with more in the kits, or with steps that take less time', () => {
    let better = 0;
    fc.assert(
      fc.property(yards, fc.nat(5), (drawn, x) => {
        const words = wordsOf(drawn);
        const usual = situationIn(drawn, words);
        const moreHands = {
          ...words,
          others: [...(words.others ?? []), point('CREW-9', 'crew', [-105 + STEP * x, 40], { trained: true })],
        };
        const moreStock = others(words, (feature) => {
          const { contents } = feature.properties as { contents?: Record<string, number> };
          if (!contents) return [feature];
          const more = Object.fromEntries(Object.entries(contents).map(([each, count]) => [each, count + 1]));
          return [point(feature.id, 'kit', feature.geometry.coordinates, { contents: more })];
        });
        const quicker = wordsOf({ ...drawn, minutes: drawn.minutes.map((minutes) => minutes / 2) });
        for (const changed of [moreHands, moreStock, quicker]) {
          const by = compared(situationIn(drawn, changed), usual);
          if (by < 0) better++;
          expect(by).toBeLessThanOrEqual(0);
        }
      }),
      { seed: 15, numRuns: 200 },
    );
    expect(better).toBeGreaterThan(15);
  });
});

describe('with everything in place before the oil', () => {
  test('the plan costs what the minimum cut does', () => {
    let closed = 0;
    fc.assert(
      fc.property(yards, (drawn) => {
        const words = wordsOf({ ...drawn, well: false, litres: 200, rainMmPerH: 10, kits: [] });
        for (const zone of Object.values(words.zones ?? {})) zone.controls = [{ control: 'berm', cost: 90 }];
        const drainage = yard({ ...words, site: { costs: { callOut: 0, perLitre: { stream: 0, publicDrain: 0 } } } });
        const [zone] = drainage.map.zones;
        const cut = cheapestContainment(
          spillNetwork(drainage, { zone, inlets: zone.inlets.map(({ to }) => to), without: [] }),
        );
        if (cut.waters.length > 0) return;
        closed++;
        const question = {
          place: { zone: 'Z1' },
          litres: 100_000,
          overMinutes: 10,
          rainMmPerH: 10,
          fluid: 'diesel' as const,
          hands: [{ id: 'A', position: [-105, 40] as [number, number], isTrained: true }],
        };
        const { posed } = poseSpill(drainage, question);
        if (!posed) throw new Error('no such zone');
        const { model, crew, nothing, cleanUpAfter } = situationOf(drainage, posed, { question, facts: undefined });
        const offers = crew.offers
          .filter(({ control }) => control !== 'sock' && control !== 'absorb')
          .map((offer) => ({
            ...offer,
            holds: 1,
            litres: Number.POSITIVE_INFINITY,
            minutes: 0,
            atBest: { ...offer.atBest, holds: 1, litres: Number.POSITIVE_INFINITY },
          }));
        const found = bestPlan({
          crew: {
            ...crew,
            offers,
            starts: crew.starts.map((start) => ({ ...start, free: -10 })),
            trip: () => ({ straight: 0, byKit: [] }),
          },
          nothing: triedRun(model, nothing.sure, cleanUpAfter),
          // Grates count for nothing in the cut.
          steps: [0.5, 0.5, Number.POSITIVE_INFINITY],
          ...PROVED,
        });
        expect(found.outcome.litres.slice(0, 2)).toEqual([0, 0]);
        expect(found.outcome.money).toBeCloseTo(cut.totalCost, 3);
      }),
      { seed: 16, numRuns: 300 },
    );
    expect(closed).toBeGreaterThan(100);
  });
});
