import { describe, expect, test } from 'vitest';
import { type Quantity, readQuantity, unitsFor } from '../../src/units/index.ts';

describe('a number with its unit', () => {
  test.each<[word: string, quantity: Quantity, value: number]>([
    ['50', 'litres', 50],
    // A US gallon is 231 cubic inches of 2.54 cm: 3.785411784 L.
    ['50gal', 'litres', 189.2705892],
    ['50 Gallons', 'litres', 189.2705892],
    ['1e3 mL', 'litres', 1],
    ['.5L', 'litres', 0.5],
    ['2 liters', 'litres', 2],
    ['128 fl oz', 'litres', 3.785411784],
    ['0.1m³', 'litres', 100],
    ['20ft', 'metres', 6.096],
    ["20'", 'metres', 6.096],
    ['12inches', 'metres', 0.3048],
    ['0.5in', 'millimetres', 12.7],
    ['2in/h', 'mm/h', 50.8],
    ['10mm/h', 'mm/h', 10],
    ['30min', 'minutes', 30],
    ['90 s', 'minutes', 1.5],
    ['2h', 'minutes', 120],
    ['1 day', 'minutes', 1440],
    ['5%', 'parts of 1', 0.05],
    ['-3in/h', 'mm/h', -76.2],
  ])('%s is so many %s: %d', (word, quantity, value) => {
    expect(readQuantity(word, quantity)).toBeCloseTo(value, 12);
  });

  test.each<[word: string, quantity: Quantity]>([
    ['', 'litres'],
    ['gal', 'litres'],
    ['many', 'litres'],
    ['50ft', 'litres'],
    ['50 gal gal', 'litres'],
    ['2in', 'mm/h'],
    ['5constructor', 'litres'],
    ['1,5L', 'litres'],
    ['0x10', 'litres'],
    ['NaN', 'minutes'],
    ['Infinity', 'minutes'],
  ])('%j is no number of %s', (word, quantity) => {
    expect(readQuantity(word, quantity)).toBeNull();
  });

  test('the unit of a plain number is the first of those that may be written', () => {
    for (const quantity of ['litres', 'metres', 'millimetres', 'mm/h', 'minutes'] as const)
      expect(readQuantity(`7${unitsFor(quantity)[0]}`, quantity)).toBe(7);
  });
});
