import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { findingsIn, findSources, foundOil, isSeen, SEEN, saysOil } from '../../src/sources/index.ts';
import { star } from '../support/star.ts';
import { yard } from '../support/yard.ts';

const drainage = yard(star([4, 2]));
const window = { since: '2026-03-01', seenAt: '2026-05-30' };
const amount = { id: 'F1', at: 'SEP-1', ...window, amount: { litres: 5, factor: 1.2 } };
const answerTo = (...findings: object[]) => {
  const reading = findingsIn({ format: 'oilshed-findings', version: 1, findings }, drainage.map);
  expect(reading.problems).toEqual([]);
  return findSources(drainage, reading.findings);
};

describe('the words of a look', () => {
  test('none answers as clean does; sheen, film and layer as oil does', () => {
    const replies = SEEN.map((seen) => answerTo(amount, { id: 'F2', at: 'MH-1', ...window, seen }));
    const [clean, oil, none, ...some] = replies;
    expect(clean.answer?.zones[0].share).not.toBe(oil.answer?.zones[0].share);
    expect(none).toEqual(clean);
    for (const reply of some) expect(reply).toEqual(oil);
    expect(SEEN.filter(saysOil)).toEqual(['oil', 'sheen', 'film', 'layer']);
  });

  test('an event is told as not weighed, and the answer is as without it', () => {
    const event = { id: 'F2', at: 'Z1', ...window, event: { litres: 40 } };
    const [without, reply] = [answerTo(amount), answerTo(amount, event)];
    expect(without.problems).toEqual([]);
    expect(reply).toEqual({
      answer: without.answer,
      problems: [expect.objectContaining({ code: 'not-counted', id: 'F2', field: 'event' })],
    });
  });

  test('oil was found where a word says so, and where there is an amount or an event', () => {
    expect(SEEN.map((seen) => foundOil({ seen }))).toEqual(SEEN.map(saysOil));
    expect(foundOil({})).toBe(true);
    expect([...SEEN, 'oily', 3, undefined].map(isSeen)).toEqual([...SEEN.map(() => true), false, false, false]);
  });

  test('no place in the program asks for one word where a table of all words stops the compiler', () => {
    const found = readdirSync('src', { recursive: true, encoding: 'utf8' })
      .filter((name) => /\.tsx?$/.test(name))
      .flatMap((name) => {
        const lines = readFileSync(join('src', name), 'utf8').split('\n');
        return lines.flatMap((line, at) =>
          new RegExp(`\\bseen\\b[^=!]*[=!]==? '(${SEEN.join('|')})'`).test(line)
            ? [`src/${name}:${at + 1}: ${line}`]
            : [],
        );
      });
    expect(found).toEqual([]);
  });
});
