import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { QUESTIONS } from '../../../src/faces/web/state/picked.ts';
import { hashOf, NOWHERE, type Route, routeIn } from '../../../src/faces/web/state/route.ts';

const word = fc.option(fc.string({ unit: 'grapheme', minLength: 1 }), { nil: null });
const routes: fc.Arbitrary<Route> = fc
  .record({
    question: fc.constantFrom(...QUESTIONS),
    subject: word,
    pick: word,
    finding: word,
    add: word,
    open: word,
    yard: word,
    lang: word,
    units: word,
    look: word,
  })
  .map((route) => (route.question === 'from' ? { ...route, subject: null } : route));

describe('addresses', () => {
  test('say everything, whatever places are called', () => {
    fc.assert(
      fc.property(routes, (route) => {
        // As a browser writes it: the address of a page can hold it.
        const { hash } = new URL(hashOf(route), 'https://yard.example/');
        expect(routeIn(hash)).toEqual(route);
      }),
    );
  });

  test('are read as people and cards write them', () => {
    expect(routeIn('#/spill/Z-1?lang=es&look=night')).toEqual({
      ...NOWHERE,
      question: 'block',
      subject: 'Z-1',
      lang: 'es',
      look: 'night',
    });
    expect(routeIn('#/found/CB-4')).toEqual({ ...NOWHERE, pick: 'CB-4' });
    expect(routeIn('#/prepare')).toEqual({ ...NOWHERE, question: 'kits' });
    expect(routeIn('#/separator/SEP-1')).toEqual({ ...NOWHERE, question: 'full', subject: 'SEP-1' });
    expect(routeIn('#/log/visit/SEP-1')).toEqual({ ...NOWHERE, question: 'full', open: 'visit/SEP-1' });
    expect(routeIn('#/log')?.open).toBe('list');
    expect(hashOf({ ...NOWHERE, question: 'full', open: 'done/pump-out/SEP-1' })).toBe(
      '#/separator?open=done/pump-out/SEP-1',
    );
  });

  test('of older cards name a zone still', () => {
    const zones = ['#spill=Z1', '#spill=Z%201', '#spill=%'].map((hash) => routeIn(hash)?.subject);
    expect(zones).toEqual(['Z1', 'Z 1', '%']);
  });

  test('that name nothing known here are told apart', () => {
    expect(['', '#', '#spill=', '#from', '#/nowhere', '#/nowhere/Z1?lang=es'].map(routeIn)).toEqual(
      Array(6).fill(null),
    );
  });
});
