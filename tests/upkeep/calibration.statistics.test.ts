import { expect, test } from 'vitest';
import { logGammaDraw, type Random, seededRandom } from '../../src/algorithms/index.ts';
import { chanceOver, learnFill } from '../../src/upkeep/forecast.ts';

/** Filling by the model itself, read so often a month apart with so much error. */
const simulate = (random: Random, { months, factor }: { months: number; factor: number }) => {
  const litresPerYear = 40 * Math.exp(Math.log(3) * random.normal());
  const releaseLitres = 2 * Math.exp(Math.log(4) * random.normal());
  const draw = (years: number) =>
    releaseLitres * Math.exp(logGammaDraw(random, (litresPerYear * years) / releaseLitres));
  let held = 0;
  const readings = Array.from({ length: months }, (_, at) => {
    held += draw(1 / 12);
    const litres = held * Math.exp(Math.log(factor) * random.normal());
    return { sinceMs: 0, seenAtMs: ((at + 1) / 12) * 365.25 * 86_400_000, litres, factor };
  });
  return { readings, held, litresPerYear, draw };
};

test.each([
  { months: 4, factor: 1.05, yards: 80 },
  { months: 8, factor: 1.2, yards: 50 },
  { months: 5, factor: 1.5, yards: 50 },
])(
  'the forecast is calibrated: the limit is passed as often as it says ($months readings, within ×/÷ $factor)',
  (run) => {
    const random = seededRandom(11);
    let [expected, passed, spread, inside] = [0, 0, 0, 0];
    for (let at = 0; at < run.yards; at++) {
      const { readings, held, draw } = simulate(random, run);
      const limitLitres = held + 10;
      const learned = learnFill(readings, { litresPerYear: 40 });
      const chance = chanceOver(learned, { ...learned.last, limitLitres, days: 60 });
      expected += chance;
      spread += chance * (1 - chance);
      const then = held + draw(60 / 365.25);
      if (then >= limitLitres) passed++;
      const over = chanceOver(learned, { ...learned.last, limitLitres: then, days: 60 });
      if (over > 0.05 && over < 0.95) inside++;
    }
    expect(Math.abs(passed - expected)).toBeLessThan(3.5 * Math.sqrt(spread));
    expect(passed).toBeGreaterThan(5);
    expect(Math.abs(inside / run.yards - 0.9)).toBeLessThan(0.1);
  },
);
