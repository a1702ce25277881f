import { describe, expect, test } from 'vitest';
import type { LidPlan, NextLid, SourcesAnswer } from '../../src/sources/index.ts';
import { type KindOf, lidPlanSentences, nextLidSentence, walkWords } from '../../src/words/sources.ts';
import { ENGLISH } from '../support/english.ts';

const kindOf: KindOf = (id) => (id.startsWith('CB') ? 'catch-basin' : 'manhole');
const lid = (at: string, more: Partial<NextLid> = {}): NextLid => ({
  at,
  bits: 0.9,
  chanceOfOil: 0.4,
  minutes: null,
  ...more,
});
const plan = (at: string, ifOil: LidPlan | null = null, ifClean: LidPlan | null = null): LidPlan => ({
  ...lid(at),
  ifOil,
  ifClean,
});
const answer = (more: Partial<SourcesAnswer>) => more as SourcesAnswer;

describe('the next lid in words', () => {
  const sentence = (minutes: number | null) =>
    nextLidSentence(answer({ nextLids: [lid('CB-4', { minutes })] }), kindOf, ENGLISH);

  test('says the walk where it is known', () => {
    expect(sentence(null)).toBe(
      'Lift CB-4 next: oil there with a chance of 40%. Clean or oily, it halves the suspects.',
    );
    expect(sentence(3.2)).toContain('Lift CB-4 next: 4 min walk, oil there');
    expect(sentence(Infinity)).toBe('No lid can be walked to from there.');
  });

  test('a walk is rounded up, and none is no walk', () => {
    expect([0, 0.04, 0.3, 1, 4.01, Infinity].map((minutes) => walkWords(minutes, ENGLISH))).toEqual([
      'right here',
      'right here',
      '1 min walk',
      '1 min walk',
      '5 min walk',
      'no way to walk there',
    ]);
  });
});

describe('the lids after it in words', () => {
  const sentences = (lidPlan: LidPlan | null) => lidPlanSentences(answer({ lidPlan }), kindOf, ENGLISH);

  test('three deep, a sentence for each answer', () => {
    const full = plan('MH-4', plan('MH-2', plan('MH-1'), plan('MH-3')), plan('MH-6', plan('MH-5'), plan('MH-7')));
    expect(sentences(full)).toEqual([
      'If MH-4 is oily, lift MH-2; then MH-1 if that is oily too, MH-3 if it is clean.',
      'If it is clean, lift MH-6; then MH-5 if that is oily, MH-7 if it is clean too.',
    ]);
  });

  test('the same lid either way is said once, and where nothing more is told that is said', () => {
    expect(sentences(plan('MH-4', plan('MH-2', plan('MH-1'), plan('MH-1'))))).toEqual([
      'If MH-4 is oily, lift MH-2, then MH-1.',
      'If it is clean, no lid left tells more.',
    ]);
    expect(sentences(plan('MH-4', null, plan('MH-6', null, plan('MH-7'))))[1]).toBe(
      'If it is clean, lift MH-6; then MH-7 if it is clean too.',
    );
    expect(sentences(plan('MH-4', plan('MH-2'), plan('MH-6')))[0]).toBe('If MH-4 is oily, lift MH-2.');
    expect([sentences(plan('MH-4')), sentences(null)]).toEqual([[], []]);
  });
});
