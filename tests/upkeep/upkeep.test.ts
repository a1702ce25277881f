import { describe, expect, test } from 'vitest';
import { logGammaDraw, seededRandom } from '../../src/algorithms/index.ts';
import { readFindings } from '../../src/sources/index.ts';
import { LITRES_PER_GALLON, METRES_PER_FOOT } from '../../src/units/index.ts';
import { chanceOver, learnFill, meanRate } from '../../src/upkeep/forecast.ts';
import { findUpkeep } from '../../src/upkeep/index.ts';
import { english } from '../support/english.ts';
import { type YardWords, yard } from '../support/yard.ts';

const words = (separator: object = {}, site: object = {}): YardWords => ({
  site: site as Record<string, unknown>,
  zones: { Z1: { oilLitresPerYear: 40, drainsTo: 'CB-1' } },
  structures: {
    'CB-1': { kind: 'catch-basin', holds: 0 },
    'SEP-1': { kind: 'separator', holds: 1, lengthM: 2, widthM: 1, waterDepthM: 1, designFlowLps: 10, ...separator },
    OUT: { kind: 'outfall' },
  },
  links: { P1: { from: 'CB-1', to: 'SEP-1' }, P2: { from: 'SEP-1', to: 'OUT' } },
});
const day = (number: number) => new Date(Date.UTC(2026, 0, 1) + number * 86_400_000).toISOString().slice(0, 10);
type Look = { since?: number; seenAt: number } & Record<string, unknown>;
const ask = (looks: Look[], yardWords = words()) => {
  const drainage = yard(yardWords);
  const all = looks.map(({ since = 0, seenAt, ...rest }, at) => ({
    id: `F${at}`,
    at: 'SEP-1',
    since: day(since),
    seenAt: day(seenAt),
    ...rest,
  }));
  const { findings, problems } = readFindings(
    JSON.stringify({ format: 'oilshed-findings', version: 1, findings: all }),
    drainage.map,
  );
  if (findings.length < all.length) throw new Error(JSON.stringify(problems));
  const reply = findUpkeep(drainage, findings);
  return { ...reply.answer.separators[0], problems: reply.problems };
};
const litres = (amount: number, factor = 1.1) => ({ amount: { litres: amount, factor } });

describe('how full', () => {
  test('volumes by hand: 25.4 mm on 1 m² is 25.4 L; 1 in on 10 ft² is 6.23 US gal', () => {
    const metre = ask([{ seenAt: 30, ...litres(25.4) }], words({ lengthM: 1, widthM: 1 }));
    expect(metre).toMatchObject({ oilMm: 25.4, oilLitres: 25.4, state: 'pump-out', nextVisitDays: 1 });
    const feet = ask([{ seenAt: 30, ...litres(1) }], words({ lengthM: 10 * METRES_PER_FOOT, widthM: METRES_PER_FOOT }));
    expect((feet.limitLitres as number) / LITRES_PER_GALLON).toBeCloseTo(6.23, 2);
  });

  test('fine while the packs suffice, watch above them, pump-out at 1 in of oil or 6 in of sediment (stormwaterpartners.com)', () => {
    // 2 m²: the limit is 50.8 L, the packs half of it.
    expect(ask([{ seenAt: 30, ...litres(25) }]).state).toBe('fine');
    const { state, reasons } = ask([{ seenAt: 30, ...litres(26) }]);
    expect([state, reasons.map(english)]).toEqual(['watch', ['the sorbent pillows no longer suffice']]);
    expect(ask([{ seenAt: 30, ...litres(50.8) }]).state).toBe('pump-out');
    expect(ask([{ seenAt: 30, ...litres(26) }], words({ packLitres: 30 })).state).toBe('fine');
    expect(ask([{ seenAt: 30, ...litres(1), sludgeMm: 76 }]).state).toBe('fine');
    expect(ask([{ seenAt: 30, ...litres(1), sludgeMm: 77 }]).state).toBe('watch');
    expect(ask([{ seenAt: 30, ...litres(1), sludgeMm: 152 }]).state).toBe('pump-out');
    expect(ask([{ seenAt: 30, ...litres(1), sheenAtOutlet: true }]).state).toBe('watch');
  });

  test('the latest reading counts, whatever the order in the file', () => {
    const answer = ask([
      { seenAt: 60, ...litres(9) },
      { seenAt: 30, ...litres(4) },
    ]);
    expect(answer).toMatchObject({ oilLitres: 9, readAt: day(60) });
  });

  test('under four readings there is no forecast, it is said, and the next visit is in a month', () => {
    const answer = ask([{ seenAt: 30, ...litres(4) }]);
    expect(answer).toMatchObject({ hasForecast: false, limitChanceByDays: [], nextVisitDays: 30, readings: 1 });
    expect(answer.problems).toMatchObject([{ code: 'no-forecast', id: 'SEP-1' }]);
    expect(ask([{ seenAt: 30, ...litres(4), sheenAtOutlet: true }]).nextVisitDays).toBe(15);
    expect(ask([{ seenAt: 30, ...litres(4) }], words({}, { inspectEveryDays: 7 })).nextVisitDays).toBe(7);
  });

  test('a separator nobody read is asked for in a month', () => {
    expect(ask([])).toMatchObject({ readAt: null, oilMm: null, state: 'fine', nextVisitDays: 30 });
  });

  const steady: Look[] = [1, 2, 3, 4, 5].map((month) => ({ seenAt: 30 * month, ...litres(5 * month) }));

  test('five even readings: the forecast passes the limit about when a straight line does', () => {
    // 5 L in 30 days: 25 L at day 150, 50.8 L about 155 days later.
    const { limitChanceByDays, nextVisitDays, litresPerYear, packDays } = ask(steady);
    const chance = new Map(limitChanceByDays.map(({ days, chance: by }) => [days, by]));
    expect(chance.get(14)).toBeLessThan(0.02);
    expect(chance.get(365)).toBeGreaterThan(0.9);
    expect(nextVisitDays).toBeGreaterThan(30);
    expect(nextVisitDays).toBeLessThanOrEqual(91);
    expect(litresPerYear).toBeGreaterThan(45);
    expect(litresPerYear).toBeLessThan(80);
    expect(packDays).toBeLessThan(30);
    const chances = limitChanceByDays.map((each) => each.chance);
    expect(chances).toEqual([...chances].sort((a, b) => a - b));
  });

  test('the next visit is the last day under 5 %', () => {
    const near: Look[] = [1, 2, 3, 4].map((week) => ({ seenAt: 7 * week, ...litres(10 * week) }));
    const answer = ask(near);
    const posterior = learnFill(
      near.map(({ seenAt }, at) => ({ sinceMs: 0, seenAtMs: seenAt * 86_400_000, litres: 10 * (at + 1), factor: 1.1 })),
      { litresPerYear: 40 },
    );
    const over = (days: number) => chanceOver(posterior, { ...posterior.last, limitLitres: 50.8, days });
    expect(over(answer.nextVisitDays)).toBeLessThan(0.05);
    expect(over(answer.nextVisitDays + 1)).toBeGreaterThanOrEqual(0.05);
  });

  test('emptied in between: each filling counts from its own start', () => {
    const answer = ask([
      { since: 0, seenAt: 60, ...litres(10) },
      { since: 60, seenAt: 120, ...litres(9) },
      { since: 120, seenAt: 180, ...litres(11) },
      { since: 180, seenAt: 240, ...litres(10) },
    ]);
    expect(answer.litresPerYear).toBeGreaterThan(45);
    expect(answer.litresPerYear).toBeLessThan(80);
  });

  test('the droplet still caught is worked out at the free depth', () => {
    const clean = ask([{ seenAt: 30, ...litres(1) }]);
    const full = ask([{ seenAt: 30, ...litres(1), sludgeMm: 600 }]);
    expect(clean.smallestCaughtUm).toBeGreaterThan(20);
    expect(full.smallestCaughtUm).not.toBe(clean.smallestCaughtUm);
  });
});

describe('the forecast', () => {
  test('a known rate and size: the chance of passing the limit is that of simulated fillings', () => {
    const random = seededRandom(7);
    const [litresPerYear, releaseLitres, years, room] = [60, 3, 0.25, 20];
    let over = 0;
    const runs = 40_000;
    for (let run = 0; run < runs; run++) {
      const shape = (litresPerYear * years) / releaseLitres;
      if (releaseLitres * Math.exp(logGammaDraw(random, shape)) >= room) over++;
    }
    const posterior = { points: [{ litresPerYear, releaseLitres, weight: 1 }] };
    const chance = chanceOver(posterior, { litres: 30, factor: 1, limitLitres: 50, days: years * 365.25 });
    expect(Math.abs(chance - over / runs)).toBeLessThan(4 * Math.sqrt((chance * (1 - chance)) / runs));
  });

  test.each([1.05, 1.1, 1.2, 1.5])(
    'steady dips that are right within ×/÷ %f give the rate that was, the better the more there are',
    (factor) => {
      for (const [months, within] of [
        [4, 1.5],
        [8, 1.3],
        [12, 1.25],
      ]) {
        const readings = Array.from({ length: months }, (_, at) => ({
          sinceMs: 0,
          seenAtMs: ((at + 1) / 12) * 365.25 * 86_400_000,
          litres: 10 * (at + 1),
          factor,
        }));
        const rate = meanRate(learnFill(readings, { litresPerYear: 120 }));
        expect(Math.abs(Math.log(rate / 120)), `${months} readings: ${rate}`).toBeLessThan(Math.log(within));
      }
    },
  );

  test('a last reading far above what came before stands as it was read', () => {
    const learned = learnFill(
      [10, 20, 30, 40, 110].map((litres, at) => ({
        sinceMs: 0,
        seenAtMs: ((at + 1) / 12) * 365.25 * 86_400_000,
        litres,
        factor: 1.1,
      })),
      { litresPerYear: 120 },
    );
    expect(learned.last.litres).toBeGreaterThan(100);
    expect(chanceOver(learned, { ...learned.last, limitLitres: 80, days: 1 })).toBeGreaterThan(0.9);
  });

  test('a level that fell, as when packs took oil out, teaches nothing of how it fills', () => {
    const reading = (month: number, litres: number) => ({
      sinceMs: 0,
      seenAtMs: (month / 12) * 365.25 * 86_400_000,
      litres,
      factor: 1.1,
    });
    const levels = [10, 20, 30, 5, 15, 25];
    const rate = meanRate(
      learnFill(
        levels.map((litres, at) => reading(at + 1, litres)),
        { litresPerYear: 60 },
      ),
    );
    expect(rate).toBeGreaterThan(95);
    expect(rate).toBeLessThan(145);
  });

  test('many readings outweigh the map: the rate learned is the rate that was', () => {
    const readings = Array.from({ length: 24 }, (_, month) => ({
      sinceMs: 0,
      seenAtMs: ((month + 1) / 12) * 365.25 * 86_400_000,
      litres: 2 * (month + 1),
      factor: 1.02,
    }));
    const rate = meanRate(learnFill(readings, { litresPerYear: 300 }));
    expect(rate).toBeGreaterThan(20);
    expect(rate).toBeLessThan(30);
  });
});

describe('what a flow does in it', () => {
  test('rain brings C·i·A: 1 ha of asphalt at 25.4 mm/h is 63.5 L/s (rational method); without rain the design flow counts', () => {
    const hectare = (more: object = {}) => ({
      ...words(more),
      zones: { Z1: { areaM2: 10_000, surface: 'asphalt', drainsTo: 'CB-1' } },
    });
    const flowOf = (rainMmPerH?: number) => {
      const { answer } = findUpkeep(yard(hectare() as YardWords), [], { rainMmPerH });
      return answer.separators[0];
    };
    expect(flowOf(25.4).flowLps).toBeCloseTo((0.9 * 25.4 * 10_000) / 3600, 9);
    expect(flowOf(0)).toMatchObject({ flowLps: 0, smallestCaughtUm: 0, isTooFast: false });
    expect(flowOf().flowLps).toBe(10);
  });

  test('too fast is over 3 ft/min, 15.24 mm/s (US DoD MIL-HDBK-1005/16, 5.6)', () => {
    const at = (designFlowLps: number) => {
      // 1 m wide and 1 m deep: 15.24 L/s is 15.24 mm/s.
      const { answer } = findUpkeep(yard(words({ designFlowLps })), []);
      return answer.separators[0].isTooFast;
    };
    expect([at(15.2), at(15.3)]).toEqual([false, true]);
  });

  test('where oil and sediment leave no depth nothing rises', () => {
    const full = ask([{ seenAt: 30, ...litres(1), sludgeMm: 1000 }]);
    expect(full).toMatchObject({ smallestCaughtUm: Number.POSITIVE_INFINITY, isTooFast: true });
  });
});
