import { describe, expect, test } from 'vitest';
import { briefOf, keptOut, type Places, planTelling } from '../../src/words/index.ts';
import { ENGLISH, SPANISH, US_ENGLISH } from '../support/english.ts';
import { planned, step } from './every-sentence.ts';

const NAMES: Record<string, string> = { 'CREW-1': 'Yard office crew', 'KIT-1': 'Dock kit', 'TD-1': 'Dock trench' };
const places: Places = {
  nameOf: (id) => NAMES[id] ?? id,
  others: [],
  kindOf: (id) => (id.startsWith('MH') ? 'manhole' : 'trench-drain'),
};
const crewStep = step('MH-2', 'plug', {
  hand: 'CREW-1',
  kit: 'KIT-1',
  oilMinutes: 9.2,
  crewMinutes: 31,
  needs: 'trained',
});
const two = planned({ controls: [step('TD-1', 'sock', { kit: 'KIT-1' }), crewStep] });

describe('the telling of a plan', () => {
  test('says who does what now, from which kit, and by when', () => {
    const { now, steps } = planTelling(two, places, US_ENGLISH);
    expect(now).toEqual(['You: take the sock from Dock kit, then lay a sock round the grate of Dock trench.']);
    expect(steps[0]).toMatchObject({
      who: 'You',
      when: 'Oil is there no sooner than in 4 min; in place in 2 min.',
      keeps: 'Keeps about 13.2 gal.',
    });
    expect(planTelling(two, places, SPANISH).now).toEqual([
      'Usted: tome el calcetín de Dock kit y después coloque un calcetín alrededor de la rejilla de Dock trench.',
    ]);
  });

  test('orders without naming anybody while time is not counted', () => {
    const answer = planned(
      { controls: [step('TD-1', 'cover', { hand: null, crewMinutes: null })] },
      { isTimed: false },
    );
    expect(planTelling(answer, places, ENGLISH).now).toEqual(['Cover Dock trench.']);
  });

  test('has what you do alone now, and what the crew does after', () => {
    const { columns } = planTelling(two, places, ENGLISH);
    expect(columns.map(({ title, steps }) => [title, steps.map(({ at }) => at)])).toEqual([
      ['You, alone, now', ['TD-1']],
      ['The crew, after', ['MH-2']],
    ]);
  });

  test('a step that comes after the first drop says that it holds the rest', () => {
    const { steps } = planTelling(two, places, ENGLISH);
    expect(steps[1].when).toBe('Oil can be there in 9 min; in place in 31 min. It holds what comes after that.');
  });

  test('safety stands before the plan, and before its step', () => {
    const { first, steps } = planTelling(two, places, ENGLISH);
    expect(first[0]).toMatch(/^Fire, or somebody hurt/);
    expect(steps[1].before).toEqual([
      'Only people trained for it.',
      'Two people, from above, the wind on your back, gas meter first. Nobody goes in.',
    ]);
  });

  test('where it may be gasoline nobody is told to do anything but to get out and call', () => {
    const why = { told: 'spill.may-be-gasoline' } as const;
    const spill = { fluid: null, mayBeGasoline: true };
    const answer = planned({ controls: [], why }, { state: 'hand-over', fluid: null, spill });
    const said = planTelling(answer, places, ENGLISH);
    expect(said.steps).toEqual([]);
    expect(said.now.at(-1)).toBe('Call now.');
    expect([...said.first, ...said.now].join(' ')).not.toMatch(/then block|cover|stop the source/i);
  });

  test('tells sums as far as they are worth, and the range beside them', () => {
    const { costs, costRange } = planTelling(two, places, US_ENGLISH);
    expect(costs).toBe('With this plan about $400; with nothing done about $60,000.');
    expect(costRange).toBe('Anything from $200 to $1,000.');
  });

  test('says what was taken: minutes, the fluid, and that a spill still runs', () => {
    const assumed = planned({}, { spill: { fluidFrom: 'assumed', overFrom: 'assumed' } });
    expect(planTelling(assumed, places, ENGLISH).assumed.slice(0, 2)).toEqual([
      'Nobody said what it is: taken as diesel, the most that is kept here.',
      'Nobody said how fast it ran out: taken as over 10 min.',
    ]);
    const still = planned({}, { spill: { isStill: true, overFrom: 'assumed', overMinutes: 60 } });
    expect(planTelling(still, places, ENGLISH).assumed[0]).toBe('It still runs: taken to stop after 60 min.');
  });
});

describe('litres kept out', () => {
  test('are of the drains, against doing nothing', () => {
    expect(keptOut(two)).toEqual({ litres: 50, of: 58, from: 'drains' });
  });

  test('are of water where nothing keeps oil out of the drains any more', () => {
    expect(keptOut(planned({ pastGrates: 58 }))).toEqual({ litres: 40, of: 40, from: 'water' });
  });

  test('may be told against what doing nothing came to at the beginning', () => {
    const { doNothing } = two;
    expect(keptOut(two, { ...doNothing, pastGrates: 100 })).toMatchObject({ litres: 92, of: 100 });
  });
});

describe('what is read over a radio', () => {
  test('is five lines: safety, what, now, next, and what it keeps', () => {
    const brief = briefOf(two, places, US_ENGLISH);
    expect(brief).toHaveLength(5);
    expect(brief[0]).toMatch(/^Fire, or somebody hurt/);
    expect(brief[1]).toBe('15.9 gal of diesel on Z1, over 10 min.');
    expect(brief[2]).toContain(planTelling(two, places, US_ENGLISH).now[0]);
    expect(brief[3]).toMatch(/^Next\. Yard office crew: take the plug from Dock kit, then plug the outlet of MH-2\.$/);
    expect(brief[4]).toMatch(/^Keeps about 13\.2 gal out of the drains/);
  });

  test('is five lines also where nothing is placed', () => {
    const nothing = planned({ controls: [], why: { told: 'answers.call-now' } }, { state: 'hand-over' });
    for (const voice of [ENGLISH, SPANISH]) {
      const brief = briefOf(nothing, places, voice);
      expect(brief).toHaveLength(5);
      for (const line of brief) expect(line).toMatch(/\.$/);
    }
  });
});
