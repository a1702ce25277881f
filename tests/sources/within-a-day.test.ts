import { describe, expect, test } from 'vitest';
import { minutesFromZone } from '../../src/drainage/index.ts';
import { findSources, readFindings } from '../../src/sources/index.ts';
import { type YardWords, yard } from '../support/yard.ts';

/** Two zones of known yield, one by a pipe of 1,200 m and one by 10 m, to one separator. */
const words: YardWords = {
  site: { odds: { releaseLitres: 2, unmappedShare: 0 } },
  zones: {
    NEAR: { oilLitresPerYear: 10, drainsTo: 'MH-1', runoffC: 0.9, areaM2: 3000 },
    FAR: { oilLitresPerYear: 10, drainsTo: 'MH-2', runoffC: 0.9, areaM2: 3000 },
  },
  structures: { 'MH-1': { kind: 'manhole' }, 'MH-2': { kind: 'manhole' }, 'SEP-1': { kind: 'separator', holds: 1 } },
  links: {
    P1: { from: 'MH-1', to: 'SEP-1', lengthM: 10 },
    P2: { from: 'MH-2', to: 'SEP-1', lengthM: 1200 },
  },
};
const drainage = yard(words);
const start = Date.UTC(2026, 4, 1, 8);
const at = (minutes: number) => new Date(start + 60_000 * minutes).toISOString();

function ask(windowMinutes: number, more: Record<string, unknown> = {}, site: Record<string, unknown> = {}) {
  const here = Object.keys(site).length > 0 ? yard({ ...words, site: { ...words.site, ...site } }) : drainage;
  const finding = { id: 'F1', at: 'SEP-1', since: at(0), seenAt: at(windowMinutes), amount: { litres: 5 }, ...more };
  const { findings } = readFindings(
    JSON.stringify({ format: 'oilshed-findings', version: 1, findings: [finding] }),
    here.map,
  );
  const { answer } = findSources(here, findings);
  if (!answer) throw new Error('no answer');
  const share = (id: string) => answer.zones.find((zone) => zone.id === id)?.share;
  return { answer, near: share('NEAR'), far: share('FAR') };
}
const minutesOf = (id: string, rainMmPerH = 0) => {
  const zone = drainage.map.zones.find((each) => each.id === id);
  if (!zone) throw new Error(id);
  return minutesFromZone(drainage, zone, { at: 'SEP-1', flowLps: 1, rainMmPerH });
};

describe('a look within a day of the last clean one', () => {
  test('a zone whose oil cannot have arrived has no share, and it is said', () => {
    const window = Math.round((minutesOf('NEAR') + minutesOf('FAR')) / 2);
    const { answer, near, far } = ask(window);
    expect([near, far]).toEqual([1, 0]);
    expect(answer.ruledOut).toEqual([
      { id: 'FAR', finding: 'F1', minutes: minutesOf('FAR'), windowMinutes: expect.closeTo(window, 6) },
    ]);
    expect(answer.groups).toEqual([]);
  });

  test('a zone counts with what was released early enough: shares go by what is left of the window', () => {
    const window = Math.round(2 * minutesOf('FAR'));
    const { near, far, answer } = ask(window);
    const [a, b] = [window - minutesOf('NEAR'), window - minutesOf('FAR')];
    expect(near).toBeCloseTo(a / (a + b), 9);
    expect(far).toBeCloseTo(b / (a + b), 9);
    expect(answer.ruledOut).toEqual([]);
    expect(answer.method).toBe('exact');
  });

  test('in the rain of that day it comes sooner', () => {
    const window = Math.round((minutesOf('NEAR') + minutesOf('FAR')) / 2);
    // As much rain in that window as 200 mm an hour.
    const rainMm = (200 * window) / 60;
    expect(minutesOf('FAR', 200)).toBeLessThan(window);
    expect(ask(window, { rainMm }).far).toBeGreaterThan(0);
  });

  test('a day and longer, nobody asks when it arrived', () => {
    const { near, far, answer } = ask(24 * 60);
    expect(near).toBeCloseTo(0.5, 9);
    expect(far).toBeCloseTo(0.5, 9);
    expect(answer.groups).toEqual([['FAR', 'NEAR']]);
  });

  test('nobody near enough: what is not on the map is all there is', () => {
    const { answer } = ask(1, {}, { odds: { releaseLitres: 2, unmappedShare: 0.02 } });
    expect(answer.unmapped.share).toBe(1);
    expect(answer.ruledOut.map(({ id }) => id)).toEqual(['NEAR', 'FAR']);
  });
});
