import { describe, expect, test } from 'vitest';
import { poseSpill, questionProblems, type SpillQuestion } from '../../src/spill/index.ts';
import { englishProblems } from '../support/english.ts';
import { yard } from '../support/yard.ts';

const ask = (question: Partial<SpillQuestion>) =>
  englishProblems(questionProblems({ place: { zone: 'Z1' }, litres: 60, ...question }));

describe('the numbers of a question', () => {
  test('nothing is wrong with what is left out, nor with what a yard can spill', () => {
    expect(ask({})).toEqual([]);
    expect(ask({ litres: 0.1, overMinutes: 0.5, rainMmPerH: 0, agoMinutes: 0 })).toEqual([]);
    expect(ask({ litres: 100_000, isStill: true, untilMinutes: 10_000, rainMmPerH: 500, agoMinutes: 10_000 })).toEqual(
      [],
    );
  });

  test.each([0, -5, 1e9, Number.NaN, Number.POSITIVE_INFINITY])('%d litres are named', (litres) => {
    expect(ask({ litres })).toMatchObject([
      {
        code: 'bad-field',
        severity: 'error',
        id: null,
        field: '--litres',
        message: 'it is no amount that a yard can spill',
        allowed: 'above 0, at most 100,000 L',
        cure: 'say how much ran out, even roughly',
      },
    ]);
  });

  test('a release over no time is named, and all that is wrong at once', () => {
    expect(ask({ overMinutes: 0 })).toMatchObject([
      {
        field: '--over',
        message: 'oil takes time to run out',
        found: '0 minutes',
        allowed: 'above 0, at most 10,000 minutes',
      },
    ]);
    const problems = ask({ litres: 0, overMinutes: 0, rainMmPerH: -1, agoMinutes: 1e9 });
    expect(problems.map(({ field, found }) => [field, found])).toEqual([
      ['--litres', '0 L'],
      ['--over', '0 minutes'],
      ['--rain', '-1.0 mm/h'],
      ['--ago', '1,000,000,000 minutes'],
    ]);
  });

  test('a question that cannot be is not posed, and all that is wrong with it is told, an unknown zone too', () => {
    const drainage = yard({ zones: { Z1: { drainsTo: 'G' } }, structures: { G: { kind: 'catch-basin' } } });
    const asked = poseSpill(drainage, { place: { zone: 'Z1' }, litres: 0, rainMmPerH: -1 });
    expect(asked.posed).toBeNull();
    expect(asked.problems.map(({ field }) => field)).toEqual(['--litres', '--rain']);
    const elsewhere = poseSpill(drainage, { place: { zone: 'Z9' }, litres: 0 });
    expect(elsewhere.problems.map(({ field }) => field)).toEqual(['--zone', '--litres']);
  });

  test('only the minutes that count are asked about: those until it stops where it still runs, else those it took', () => {
    expect(ask({ isStill: true, overMinutes: 0, untilMinutes: 0 }).map(({ field }) => field)).toEqual(['--until']);
    expect(ask({ overMinutes: 5, untilMinutes: 0 })).toEqual([]);
  });
});
