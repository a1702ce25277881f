import { describe, expect, test } from 'vitest';
import { addDays, dayIn, daysBetween, instantOf, isoTime } from '../../src/site-map/index.ts';

describe('local times', () => {
  const newYork = (text: string) => isoTime(instantOf(text, 'America/New_York') ?? Number.NaN, 'America/New_York');

  test('that clocks skip, or show twice, are those of RFC 5545, section 3.3.5 (its two examples)', () => {
    expect(newYork('2007-03-11T02:30:00')).toBe('2007-03-11T03:30:00-04:00');
    expect(newYork('2007-11-04T01:30:00')).toBe('2007-11-04T01:30:00-04:00');
  });

  test('on either side of a change have the offset of their side', () => {
    expect(newYork('2007-03-11T01:59:59')).toBe('2007-03-11T01:59:59-05:00');
    expect(newYork('2007-03-11T03:00:00')).toBe('2007-03-11T03:00:00-04:00');
    expect(newYork('2007-11-04T02:00:00')).toBe('2007-11-04T02:00:00-05:00');
  });

  test('in a zone nobody knows are told in UTC', () => {
    expect(isoTime(0, 'Nowhere/Here')).toBe('1970-01-01T00:00:00+00:00');
    expect(dayIn(0, 'America/Denver')).toBe('1969-12-31');
  });
});

describe('calendar days', () => {
  test('are counted whole, over leap days and ends of years, whatever the clocks do', () => {
    expect(addDays('2028-02-28', 1)).toBe('2028-02-29');
    expect(addDays('2026-12-31', 1)).toBe('2027-01-01');
    expect(addDays('2026-03-01', -1)).toBe('2026-02-28');
    expect(addDays('2026-05-30', 1.9)).toBe('2026-05-31');
    expect(daysBetween('2026-03-28', '2026-03-30T23:00:00Z')).toBe(2);
    expect(daysBetween('2026-03-30', '2026-03-28')).toBe(-2);
    expect(daysBetween('2026-03-30', 'soon')).toBeNaN();
  });
});
