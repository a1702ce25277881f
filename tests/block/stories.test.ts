import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { type BlockQuestion, findBlocks } from '../../src/block/index.ts';
import { compileDrainage, type Drainage } from '../../src/drainage/index.ts';
import { isOfKind, middleOfZone, type Position, readSiteMap } from '../../src/site-map/index.ts';
import { english } from '../support/english.ts';

/** Spills on the freight depot, and what somebody who has seen many would do about them. */

const text = readFileSync('site-maps/freight-depot.geojson', 'utf8');
const depot = compileDrainage(readSiteMap(text).map);

function middleOf(zone: string, { map }: Drainage = depot): Position {
  const found = map.zones.find(({ id }) => id === zone);
  if (!found) throw new Error(`no zone ${zone}`);
  return middleOfZone(found);
}

/** The depot with one more kit, where somebody stands. */
function depotWithKit(coordinates: Position): Drainage {
  const map: { features: unknown[] } = JSON.parse(text);
  const contents = { sorbentLitres: 60, covers: 1, socks: 2 };
  const kit = {
    type: 'Feature',
    id: 'KIT-HERE',
    properties: { kind: 'kit', contents, coverMm: 900 },
    geometry: { type: 'Point', coordinates },
  };
  return compileDrainage(readSiteMap(JSON.stringify({ ...map, features: [...map.features, kit] })).map);
}

function plan(drainage: Drainage, question: BlockQuestion) {
  const { answer } = findBlocks(drainage, question);
  if (!answer) throw new Error('no answer');
  return { answer, steps: answer.plan.controls.map(({ control, at }) => `${control} ${at}`) };
}

const post = (id: string) => {
  const found = depot.map.others.find((each) => each.id === id);
  if (!found || !isOfKind(found, 'crew')) throw new Error(`no crew ${id}`);
  return { id, position: found.geometry.coordinates };
};

const burstHose: BlockQuestion = { place: { zone: 'Z9' }, litres: 60, overMinutes: 10, fluid: 'hydraulic-oil' };

test('a hydraulic hose bursts at the dock, dry, someone with a kit beside it: sock and cover at the trench keep over 95 % from the pipes', () => {
  const middle = middleOf('Z9');
  const withKit = plan(depotWithKit(middle), { ...burstHose, hands: [{ id: 'here', position: middle }] });
  expect(withKit.steps).toEqual(['sock TD-5', 'cover TD-5']);
  expect(withKit.answer.plan.controls.map(({ hand, kit }) => [hand, kit])).toEqual([
    ['here', 'KIT-HERE'],
    ['here', 'KIT-HERE'],
  ]);
  // Of 60 L the ground likely keeps 24, and nearly all others would be in the pipes.
  expect(withKit.answer.doNothing.pastGrates).toBeGreaterThan(30);
  expect(withKit.answer.plan.pastGrates).toBeLessThan(0.05 * 60);
  expect(withKit.answer.state).toBe('running');
});

test('the same with the kits of the map: so it is too, with the dock’s own kit', () => {
  const { answer, steps } = plan(depot, burstHose);
  expect(steps).toEqual(['sock TD-5', 'cover TD-5']);
  expect(new Set(answer.plan.controls.map(({ kit }) => kit))).toEqual(new Set(['KIT-3']));
  expect(answer.plan.pastGrates).toBeLessThan(0.05 * 60);
});

const overfill: BlockQuestion = { place: { zone: 'Z1' }, litres: 200, fluid: 'diesel', rainMmPerH: 25 };

/** Somebody else who stands at the valve as it happens. */
const atValve = () => {
  const valve = depot.map.structures.find(({ id }) => id === 'V-1');
  if (!valve) throw new Error('no valve');
  return { id: 'second', position: valve.position, startMinutes: 0.5 };
};

test('200 L of diesel overfilled at night in 25 mm/h, a second hand there: fuel stop first, then the valve that was turned this year, and when the yard backs up', () => {
  const hands = [{ id: 'here', position: middleOf('Z1') }, atValve()];
  const { answer, steps } = plan(depot, { ...overfill, hands });
  expect(steps).toEqual(['fuel-stop FS-1', 'valve V-1']);
  const [backing] = answer.backingUp;
  expect(backing.at).toBe('V-1');
  expect(backing.minutes).toBeGreaterThan(1);
  expect(backing.minutes).toBeLessThan(60);
  expect(answer.whilePlacing.map(english).join(' ')).toContain('Somebody must stay and watch it');
  // Whoever is at the pump stops it, and nobody is in two places.
  expect(answer.plan.controls.map(({ hand }) => hand)).toEqual(['here', 'second']);
});

test('the same by whoever is there as a rule: the one at the pump stops it and goes nowhere first, and crews are too late for the rest', () => {
  const { answer, steps } = plan(depot, overfill);
  expect(steps).toEqual(['fuel-stop FS-1']);
  expect(answer.plan.controls[0].hand).toBe('here');
  // Under a third of it is out by then. It runs past the trench at once, before any cover or crew is there.
  expect(answer.plan.pastGrates).toBeLessThan(60);
  for (const { control, crewMinutes } of answer.singles)
    if (control === 'cover' || control === 'valve')
      expect(crewMinutes).toBeGreaterThan(answer.plan.controls[0].crewMinutes ?? Number.NaN);
});

test('the same by the crews alone: one of them stops it first, the other one turns the valve', () => {
  const { answer, steps } = plan(depot, { ...overfill, hands: [post('CREW-1'), post('CREW-2')] });
  expect(steps).toEqual(['fuel-stop FS-1', 'valve V-1']);
  expect(answer.plan.controls.map(({ hand }) => hand)).toEqual(['CREW-2', 'CREW-1']);
  expect(answer.backingUp.map(({ at }) => at)).toEqual(['V-1']);
});

test('the same overfill with nobody but the one at the pump: the stop is a minute away, the valve is not in reach before the oil', () => {
  const { answer, steps } = plan(depot, { ...overfill, hands: [{ id: 'here', position: middleOf('Z1') }] });
  expect(steps[0]).toBe('fuel-stop FS-1');
  expect(steps).not.toContain('valve V-1');
  expect(answer.backingUp).toEqual([]);
});

test('the same where the valve was not turned for years: it is stiff, and no part of the plan', () => {
  const stiff = compileDrainage(readSiteMap(text.replace(/("exercised":\s*)"2026/, '$1"2019')).map);
  const hands = [{ id: 'here', position: middleOf('Z1') }, atValve()];
  const { steps } = plan(stiff, { ...overfill, hands, on: '2026-11-30' });
  expect(steps[0]).toBe('fuel-stop FS-1');
  expect(steps).not.toContain('valve V-1');
});

test('and where the fuel cannot be stopped: the trench is covered', () => {
  const others = depot.map.others.filter(({ id }) => id !== 'FS-1');
  const noStop = compileDrainage({ ...depot.map, others });
  const { steps } = plan(noStop, { ...overfill, overMinutes: 15 });
  expect(steps).toContain('cover TD-2');
});

test('20 L of gasoline: nobody is sent', () => {
  const { answer, steps } = plan(depot, { place: { zone: 'Z11' }, litres: 20, fluid: 'gasoline' });
  expect(steps).toEqual([]);
  expect(answer.state).toBe('hand-over');
  expect(answer.advice.map(english).join(' ')).toMatch(/get everyone out/i);
});

test('200 L of diesel at once on a trailer row, from the crew post only: the valve that can be reached before the oil, not the cover that cannot', () => {
  const { answer, steps } = plan(depot, {
    place: { zone: 'Z4' },
    litres: 200,
    overMinutes: 2,
    fluid: 'diesel',
    hands: [post('CREW-1')],
  });
  // Nobody opens a plug for half an hour for the last litres that the separators let out.
  expect(steps).toEqual(['valve V-1']);
  const [valve] = answer.plan.controls;
  expect(valve.crewMinutes).toBeLessThan(valve.oilMinutes ?? 0);
});

test('a parked truck that leaks 2 L an hour: soak it up, and no alarm', () => {
  const { answer, steps } = plan(depot, {
    place: { zone: 'Z3' },
    litres: 2 / 60,
    isStill: true,
    untilMinutes: 60,
    fluid: 'motor-oil',
  });
  expect(steps[0]).toBe('absorb Z3');
  expect(steps.length).toBeLessThanOrEqual(2);
  expect(answer.doNothing.pastGrates).toBe(0);
  expect(answer.doNothing.litres.toWater + answer.doNothing.litres.toPublicDrain).toBe(0);
  expect(english(answer.plan.why ?? '')).toContain('Soak it up');
});
