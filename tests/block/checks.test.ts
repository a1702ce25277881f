import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { type BlockQuestion, findBlocks } from '../../src/block/index.ts';
import { compileDrainage } from '../../src/drainage/index.ts';
import { isOfKind, type Position, readSiteMap } from '../../src/site-map/index.ts';

const CASES = '../shared/checks/spill.json';

interface Case {
  id: string;
  command: string;
  expected: {
    plan: {
      controls: { at: string; control: string; hand?: string; crewMinutes: number | null }[];
      totalCost?: number;
      litres: Record<string, number>;
    };
  };
  tolerance: { minutes: number; litres: number };
  map: unknown;
}

/** Cases worked out two ways, kept beside the project; where they are not there the tests are skipped and say so. */
const cases: Case[] = existsSync(CASES) ? JSON.parse(readFileSync(CASES, 'utf8')).cases : [];
const plans = cases.filter(({ command }) => command.startsWith('oilshed block '));

/** What a case asks, read off its command line: all of them give litres, minutes and diesel. */
function questionOf(command: string, map: ReturnType<typeof readSiteMap>['map']): BlockQuestion {
  const value = (flag: string) => new RegExp(`--${flag}[ =](\\S+)`).exec(command)?.[1];
  const [lon, lat] = (value('point') ?? '').split(',').map(Number);
  const point: Position = [lon, lat];
  const zone = value('zone');
  const hands = value('hands')
    ?.split(',')
    .map((id) => {
      const crew = map.others.find((each) => each.id === id);
      return { id, position: crew && isOfKind(crew, 'crew') ? crew.geometry.coordinates : point };
    });
  return {
    place: zone ? { zone } : { point },
    ...{ litres: Number(value('litres')), overMinutes: Number(value('over')), fluid: 'diesel', hands },
  };
}

if (cases.length === 0) test.skip(`the worked cases are not at ${CASES}`, () => {});
else
  describe('worked cases of a plan', () => {
    test('are the ones that were worked out', () => {
      expect(plans.map(({ id }) => id)).toEqual(['own-grate', 'two-grates-two-hands', 'all-before-oil-is-the-cut']);
    });

    test.each(plans)('$id', ({ command, expected, tolerance, map: text }) => {
      const { map } = readSiteMap(JSON.stringify(text));
      const { answer } = findBlocks(compileDrainage(map), questionOf(command, map));
      if (!answer) throw new Error('no answer');
      const { controls, litres, totalCost } = answer.plan;
      expect(controls.map(({ at, control }) => `${control} ${at}`)).toEqual(
        expected.plan.controls.map(({ at, control }) => `${control} ${at}`),
      );
      expected.plan.controls.forEach(({ hand, crewMinutes }, at) => {
        if (hand !== undefined) expect(controls[at].hand).toBe(hand);
        if (crewMinutes === null) expect(controls[at].crewMinutes).toBeNull();
        else
          expect(Math.abs((controls[at].crewMinutes ?? Number.NaN) - crewMinutes)).toBeLessThanOrEqual(
            tolerance.minutes,
          );
      });
      if (expected.plan.totalCost !== undefined) expect(totalCost).toBeCloseTo(expected.plan.totalCost, 6);
      const found = new Map(Object.entries(litres));
      for (const [where, each] of Object.entries(expected.plan.litres))
        expect(Math.abs((found.get(where) ?? Number.NaN) - each), where).toBeLessThanOrEqual(tolerance.litres);
    });
  });
