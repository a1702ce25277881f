import { describe, expect, test } from 'vitest';
import { logGammaDraw, seededRandom } from '../../src/algorithms/index.ts';
import { LITRES_PER_GALLON, METRES_PER_FOOT, MM_PER_INCH } from '../../src/units/index.ts';
import { fillByDays } from '../../src/upkeep/forecast.ts';
import { type Condition, oilIn, stepsAfter } from '../../src/upkeep/index.ts';

const limits = { oilLimitMm: 25.4, sludgeLimitMm: 152, packLitres: 25 };

describe('what follows from a visit (common practice of the trade)', () => {
  test('volumes by hand: 1 in on 10 ft² is 6.23 US gal; 25.4 mm on 1 m² is 25.4 L', () => {
    const feet = oilIn({ chambers: [{ oilMm: MM_PER_INCH, areaM2: 10 * METRES_PER_FOOT ** 2 }] });
    expect((feet?.litres ?? 0) / LITRES_PER_GALLON).toBeCloseTo(6.23, 2);
    expect(oilIn({ chambers: [{ oilMm: 25.4, areaM2: 1 }] })?.litres).toBeCloseTo(25.4, 12);
    expect(oilIn({})).toBeNull();
  });

  test('nothing follows from a separator in order', () => {
    const condition: Condition = {
      chambers: [{ oilMm: 5, areaM2: 2 }],
      sludgeMm: 40,
      packs: 'in-place',
      sorbent: 'used',
      packsRide: 'high',
      debris: false,
      plates: 'sound',
      concrete: 'sound',
      sheenAtOutlet: false,
    };
    expect(stepsAfter(condition, limits)).toEqual([]);
  });

  test.each<[Condition, string[]]>([
    [{ chambers: [{ oilMm: 25.4, areaM2: 2 }] }, ['pump-out-oil']],
    [{ chambers: [{ oilMm: 13, areaM2: 2 }] }, ['more-packs']],
    [{ sludgeMm: 152 }, ['pump-out-sediment']],
    [{ sludgeMm: 80 }, ['watch-sediment']],
    [{ packs: 'adrift' }, ['fish-out-packs']],
    [{ packs: 'missing' }, ['put-packs-in']],
    [{ sorbent: 'soaked' }, ['change-packs']],
    [{ packsRide: 'deep' }, ['change-packs']],
    [{ debris: true }, ['take-out-debris']],
    [{ plates: 'deformed' }, ['replace-plates']],
    [{ plates: 'none' }, []],
    [{ concrete: 'cracked' }, ['mend-concrete']],
    [{ sheenAtOutlet: true, debris: true }, ['clean-outlet', 'take-out-debris']],
  ])('%j', (condition, steps) => {
    expect(stepsAfter(condition, limits)).toEqual(steps);
  });
});

test('the band of the fill chart is what a simulation of the same gamma process gives', () => {
  const posterior = { points: [{ litresPerYear: 60, releaseLitres: 3, weight: 1 }] };
  const random = seededRandom(7);
  const band = fillByDays(posterior, { litres: 8, factor: 1.2 });
  for (const { days, litres, low, high } of band.filter((each) => each.days >= 30)) {
    const draws = Float64Array.from({ length: 40_000 }, () => {
      const came = 3 * Math.exp(logGammaDraw(random, (60 * days) / 365.25 / 3));
      return 8 * 1.2 ** random.normal() + came;
    }).sort();
    const at = (chance: number) => draws[Math.floor(chance * draws.length)];
    expect(Math.abs(litres / at(0.5) - 1)).toBeLessThan(0.05);
    expect(Math.abs(low / at(0.05) - 1)).toBeLessThan(0.07);
    expect(Math.abs(high / at(0.95) - 1)).toBeLessThan(0.05);
  }
  expect(band[0].low).toBeLessThan(8);
  expect(band[0].high).toBeGreaterThan(8);
});
