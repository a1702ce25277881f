import { describe, expect, test } from 'vitest';
import { amountOf, slickLitres } from '../../src/sources/findings/amounts.ts';
import { findSources } from '../../src/sources/index.ts';
import { soundFindings } from '../support/ask.ts';
import { english } from '../support/english.ts';
import { litres, look, star } from '../support/star.ts';
import { yard } from '../support/yard.ts';

const M2_PER_KM2 = 1e6;

describe('a slick by its appearance', () => {
  // Bonn Agreement Oil Appearance Code, after A. Lewis (report to the Netherlands North Sea Agency,
  // January 2007, table 1), litres per km². The table gives no upper end for code 5.
  test.each([
    { code: 1, name: 'sheen', least: 40, most: 300 },
    { code: 2, name: 'rainbow', least: 300, most: 5000 },
    { code: 3, name: 'metallic', least: 5000, most: 50_000 },
    { code: 4, name: 'discontinuous true colour', least: 50_000, most: 200_000 },
    { code: 5, name: 'continuous true colour', least: 200_000, most: null },
  ])('code $code ($name) holds $least to $most L/km²', ({ code, least, most }) => {
    const [from, to] = slickLitres([{ code, share: 1 }], M2_PER_KM2);
    expect(from).toBeCloseTo(least, 6);
    if (most === null) expect(to).toBeGreaterThan(from);
    else expect(to).toBeCloseTo(most, 6);
  });

  // By hand from that table: 20 × (0.5 × 0.04 + 0.4 × 0.3 + 0.1 × 5) and 20 × (0.5 × 0.3 + 0.4 × 5 + 0.1 × 50) mL.
  const mixed = {
    appearance: [
      { code: 1, share: 0.5 },
      { code: 2, share: 0.4 },
      { code: 3, share: 0.1 },
    ],
    areaM2: 20,
  };

  test('20 m² of half sheen, four tenths rainbow and one tenth metallic hold 12.8 to 143 mL', () => {
    const [least, most] = slickLitres(mixed.appearance, mixed.areaM2);
    expect(least * 1000).toBeCloseTo(12.8, 9);
    expect(most * 1000).toBeCloseTo(143, 9);
  });

  test('its litres lie in the geometric middle, and its factor reaches from end to end', () => {
    const { litres: middle, factor } = amountOf(mixed);
    expect(middle * 1000).toBeCloseTo(Math.sqrt(12.8 * 143), 9);
    expect((middle / factor) * 1000).toBeCloseTo(12.8, 9);
    expect(middle * factor * 1000).toBeCloseTo(143, 9);
  });
});

describe('other ways to write an amount', () => {
  test('1 mm on 1 m² is 1 L, within 1.5 where nothing is said', () => {
    expect(amountOf({ thicknessMm: 1, areaM2: 1 })).toEqual({ litres: 1, factor: 1.5 });
  });

  test('socks count by the oil they took up at 0.88 kg/L (engine oil), a guess for a full one being rougher', () => {
    expect(amountOf({ socks: 2, kgEach: 1.76 })).toEqual({ litres: 4, factor: 1.5 });
    expect(amountOf({ socks: 1 })).toEqual({ litres: 2 / 0.88, factor: 2 });
  });
});

describe('coolant', () => {
  test('takes part in no oil balance, and it is said of which finding', () => {
    const drainage = yard(star([4, 2]));
    const oil = [look('F1', 'SEP-1', litres(5)), look('F2', 'MH-1', { seen: 'clean' })];
    const coolant = [
      look('F3', 'MH-2', { seen: 'clean', fluid: 'coolant' }),
      look('F4', 'SEP-1', { ...litres(100), fluid: 'coolant' }),
    ];
    const without = findSources(drainage, soundFindings(drainage, oil));
    const reply = findSources(drainage, soundFindings(drainage, [...oil, ...coolant]));
    expect(without.answer).not.toBeNull();
    expect(reply.answer).toEqual(without.answer);
    expect(without.problems).toEqual([]);
    expect(reply.problems.map(({ id, code, severity }) => [id, code, severity])).toEqual([
      ['F3', 'not-counted', 'note'],
      ['F4', 'not-counted', 'note'],
    ]);
    expect(english(reply.problems[0].message)).toContain('coolant');
  });
});
