import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import {
  type CardOptions,
  type CardStep,
  DESIGN_RAIN_MM_PER_H,
  findBlocks,
  type ResponseCard,
  responseCard,
  zonesWithCards,
} from '../../src/block/index.ts';
import { compileDrainage, type Drainage } from '../../src/drainage/index.ts';
import { readSiteMap, walkerPosition, walkingGround } from '../../src/site-map/index.ts';
import { findSpill } from '../../src/spill/index.ts';
import { yard } from '../support/yard.ts';

const DEMOS = ['freight-depot', 'gravel-haul-yard', 'two-bay-garage'].map((name) => ({
  name,
  drainage: compileDrainage(readSiteMap(readFileSync(`site-maps/${name}.geojson`, 'utf8')).map),
}));

function cardOf(drainage: Drainage, zone: string, options?: CardOptions): ResponseCard {
  const { card, problems } = responseCard(drainage, zone, options);
  if (!card) throw new Error(JSON.stringify(problems));
  return card;
}

const keyOf = ({ at, control }: { at: string; control: string }) => `${control} ${at}`;
const stepsOf = ({ alone, all, ifNot, ifPast }: ResponseCard): CardStep[] => [
  ...[alone, all].flatMap((each) => [...(each?.steps ?? []), ...(each?.inRain ?? [])]),
  ...ifNot,
  ...ifPast.steps,
];

// The card's plan was the cheapest one that is in time; it is now the one that keeps most litres, so what these tests
// asked of lateness is asked of plans, hands and rain instead.
describe.each(DEMOS)('the cards of $name', ({ drainage }) => {
  const { map } = drainage;
  const cards = zonesWithCards(map).map(({ id }) => cardOf(drainage, id));

  test('say what spill and block say where nobody is named, dry and in rain', () => {
    for (const { zone, litres, largestOf, rainMmPerH, dry, rain, all } of cards) {
      for (const [spill, block, mmPerH] of [
        [dry, all.dry, 0],
        [rain, all.rain, rainMmPerH],
      ] as const) {
        const question = { place: { zone: zone.id }, litres, fluid: largestOf ?? undefined, rainMmPerH: mmPerH };
        expect(spill).toEqual(findSpill(drainage, question).answer);
        expect(block).toEqual(findBlocks(drainage, question).answer);
      }
    }
  });

  test('say what somebody at the spill can do with nobody else', () => {
    for (const { alone, all } of cards) {
      expect(alone?.dry.hands).toEqual(all.dry.hands.filter(({ id }) => id === 'here'));
      for (const { hand } of [...(alone?.steps ?? []), ...(alone?.inRain ?? [])]) expect(hand).toBe('here');
    }
  });

  test('are for the largest container of what is planned for, in dry weather and 25 mm/h', () => {
    for (const { zone, litres, litresFrom, rainMmPerH } of cards) {
      const fluids = zone.properties.fluids ?? [];
      const others = fluids.filter(({ fluid }) => fluid !== 'gasoline');
      const sizes = (others.length > 0 ? others : fluids).map(({ largestLitres }) => largestLitres ?? 0);
      const largest = Math.max(0, ...sizes);
      expect([litres, litresFrom]).toEqual(largest > 0 ? [largest, 'largest'] : [208, 'default']);
      expect(rainMmPerH).toBe(DESIGN_RAIN_MM_PER_H);
    }
  });

  test('numbers run from 1 without a gap, and one control has one number', () => {
    for (const card of cards) {
      const rings = new Map(stepsOf(card).map((step) => [keyOf(step), step.ring]));
      for (const step of stepsOf(card)) expect(step.ring).toBe(rings.get(keyOf(step)));
      expect([...rings.values()].sort((a, b) => a - b)).toEqual([...rings.keys()].map((_, at) => at + 1));
    }
  });

  test('rain has steps of its own exactly where its plan is another', () => {
    const doneBy = ({ at, control, hand }: CardStep | ResponseCard['all']['dry']['plan']['controls'][number]) =>
      `${control} ${at} ${hand}`;
    for (const column of cards.flatMap(({ alone, all }) => [alone, all])) {
      if (!column) continue;
      const [dry, rain] = [column.dry, column.rain].map(({ plan }) => plan.controls.map(doneBy));
      const isSame = [...dry].sort().join() === [...rain].sort().join();
      expect(column.inRain.map(doneBy)).toEqual(isSame ? [] : rain);
    }
  });

  test('what is likely is never before what is soonest', () => {
    for (const step of cards.flatMap(stepsOf))
      for (const { soonestMinutes, likelyMinutes } of [step.dry, step.rain])
        if (likelyMinutes !== null) expect(likelyMinutes).toBeGreaterThanOrEqual(soonestMinutes ?? Number.NaN);
  });

  test('what to do where the first step cannot be done leaves that step out', () => {
    for (const { alone, all, ifNot } of cards) {
      const [first] = (alone ?? all).steps;
      if (first) expect(ifNot.map(keyOf)).not.toContain(keyOf(first));
    }
  });

  test('nobody is sent to the oil where it is gasoline alone, and gasoline among several stands ahead of the plan', () => {
    for (const { zone, danger, isUntilNamed, safety } of cards) {
      const fluids = (zone.properties.fluids ?? []).map(({ fluid }) => fluid);
      const isGasoline = fluids.length === 0 || fluids.includes('gasoline');
      expect(danger.mayBeGasoline).toBe(isGasoline);
      expect(isUntilNamed).toBe(isGasoline && !fluids.every((fluid) => fluid === 'gasoline' && fluids.length > 0));
      expect(safety.first.map(({ told }) => told).includes('spill.first-words')).toBe(!isGasoline);
    }
  });

  test('the nearest kit is the one with the least walk from the zone', () => {
    const kits = map.others.filter(({ properties }) => properties.kind === 'kit');
    for (const { zone, nearestKit } of cards) {
      const from = walkerPosition(map, zone.id);
      const walks = kits.map(({ id }) => ({
        id,
        minutes: walkingGround(map).minutesFrom(from ?? [0, 0], [walkerPosition(map, id) ?? [0, 0]])[0],
      }));
      const least = Math.min(...walks.map(({ minutes }) => minutes));
      expect(nearestKit?.minutes).toBeCloseTo(least, 9);
    }
  });
});

test('roofs and verges get no card, unless a fluid is kept there', () => {
  const [{ drainage }] = DEMOS;
  const made = zonesWithCards(drainage.map).map(({ id }) => id);
  expect(drainage.map.zones.flatMap(({ id }) => (made.includes(id) ? [] : [id]))).toEqual(['Z10', 'Z16']);
});

test('among the demo yards stand cards with a plan, with another one in rain, and with gasoline among others', () => {
  const cards = DEMOS.flatMap(({ drainage }) => zonesWithCards(drainage.map).map(({ id }) => cardOf(drainage, id)));
  expect(cards.some(({ alone }) => (alone?.steps.length ?? 0) > 1)).toBe(true);
  expect(cards.some(({ all, alone }) => all.inRain.length + (alone?.inRain.length ?? 0) > 0)).toBe(true);
  expect(cards.some(({ isUntilNamed }) => isUntilNamed)).toBe(true);
});

describe('a card', () => {
  const small = (fluids: unknown[] | undefined, drainsTo = 'CB-1') =>
    yard({
      zones: { Z1: { drainsTo, fluids } },
      structures: { 'CB-1': { kind: 'catch-basin' }, 'OUT-1': { kind: 'outfall' } },
      links: { P1: { from: 'CB-1', to: 'OUT-1' } },
    });

  test('for gasoline alone has no plan, and says first to get out', () => {
    const card = cardOf(small([{ fluid: 'gasoline', largestLitres: 20 }]), 'Z1');
    expect([stepsOf(card), card.isUntilNamed]).toEqual([[], false]);
    expect(card.safety.first.map(({ told }) => told)).toEqual(['spill.fire-or-injury', 'spill.gasoline']);
  });

  test('for several fluids with gasoline has the plan for the largest of the others', () => {
    const fluids = ['diesel', 'coolant', 'gasoline'].map((fluid, at) => ({ fluid, largestLitres: 20 + at }));
    const { all, largestOf, isUntilNamed, safety } = cardOf(small(fluids), 'Z1');
    expect(all.steps.length).toBeGreaterThan(0);
    expect([largestOf, isUntilNamed]).toEqual(['coolant', true]);
    expect(safety.first.map(({ told }) => told)).toEqual([
      'spill.fire-or-injury',
      'spill.may-be-gasoline',
      'spill.coolant',
    ]);
  });

  test('of a zone that lists no fluid follows the rule of gasoline until somebody names it', () => {
    const { danger, isUntilNamed, all } = cardOf(small(undefined), 'Z1');
    expect([danger.mayBeGasoline, isUntilNamed]).toEqual([true, true]);
    expect(all.steps.length).toBeGreaterThan(0);
  });

  test('counts no time and names no kit where the map has neither crew nor kit', () => {
    const { alone, all, nearestKit } = cardOf(small([{ fluid: 'diesel', largestLitres: 20 }]), 'Z1');
    expect([alone, nearestKit]).toEqual([null, null]);
    expect(all.steps[0]).toMatchObject({ ring: 1, kit: null, hand: null, crewMinutes: null });
  });

  test('of a zone that is not on the map is a named problem', () => {
    const { card, problems } = responseCard(small(undefined), 'Z9');
    expect(card).toBeNull();
    expect(problems).toMatchObject([{ severity: 'error' }]);
  });
});
