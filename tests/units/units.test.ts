import { describe, expect, test } from 'vitest';
import {
  formatArea,
  formatMoney,
  formatNumber,
  formatRain,
  formatShare,
  formatVolume,
  LITRES_PER_GALLON,
  SQUARE_METRES_PER_ACRE,
  worth,
} from '../../src/units/index.ts';

describe('units', () => {
  test('conversions are exact by definition: a gallon is 231 cubic inches, an acre 43,560 square feet', () => {
    expect(LITRES_PER_GALLON).toBeCloseTo(231 * 0.0254 ** 3 * 1000, 12);
    expect(SQUARE_METRES_PER_ACRE).toBeCloseTo(4046.8564224, 7);
  });

  test('volumes and areas are written in the site’s units with some three digits', () => {
    expect(formatVolume(5, 'us')).toBe('1.32 gal');
    expect(formatVolume(400, 'us')).toBe('106 gal');
    expect(formatVolume(5, 'si')).toBe('5 L');
    expect(formatVolume(0.05, 'si')).toBe('50 mL');
    expect(formatVolume(0.05, 'us')).toBe('1.69 fl oz');
    expect(formatVolume(0, 'us')).toBe('0 gal');
    expect(formatVolume(1000, 'si')).toBe('1,000 L');
    expect(formatVolume(21.13, 'si')).toBe('21.1 L');
    expect(formatArea(300, 'us')).toBe('3,229 ft²');
    expect(formatArea(8093.7, 'us')).toBe('2.00 ac');
    expect(formatArea(9999, 'si')).toBe('9,999 m²');
    expect(formatArea(12_345, 'si')).toBe('1.23 ha');
  });

  test('a small share is never written as none, nor a large one as all', () => {
    expect([0, 0.004, 0.005, 0.625, 0.994, 0.996, 1].map(formatShare)).toEqual([
      '0 %',
      '<1 %',
      '1 %',
      '63 %',
      '99 %',
      '>99 %',
      '100 %',
    ]);
  });

  test('a guess is told with the digits it is worth', () => {
    expect([0, 4.2, 149, 151, 17_240, -17_240, 960_000].map((amount) => worth(amount))).toEqual([
      0, 4, 100, 200, 20_000, -20_000, 1_000_000,
    ]);
    expect(worth(17_240, 2)).toBe(17_000);
  });

  test('money, rain and numbers have separators and a steady number of decimals', () => {
    expect(formatMoney(64_560, 'USD')).toBe('USD 64,560');
    expect(formatRain(25.4, 'us')).toBe('1.00 in/h');
    expect(formatRain(25.4, 'si')).toBe('25.4 mm/h');
    expect(formatNumber(1234.567, 1)).toBe('1,234.6');
  });
});
