import { h } from 'preact';
import { renderToString } from 'preact-render-to-string';
import { expect, test } from 'vitest';
import type { Voice } from '../../src/catalogue/index.ts';
import { Drawing, type DrawnYard, drawFlat, fitTo, scaleLength } from '../../src/drawing/index.ts';
import { ENGLISH, SPANISH } from '../support/english.ts';
import { escapedWords, pseudoVoice } from '../support/pseudo.ts';
import { yardMap } from '../support/yard.ts';

const NAMES = ['CB-1', 'MH-1', 'OUT-1', 'P-1', 'P-2', 'Z-1', 'Z-2', 'Fuel island', 'Lane', 'Lid of the yard'];
const map = yardMap({
  zones: { 'Z-1': { name: 'Fuel island', drainsTo: 'CB-1' }, 'Z-2': { name: 'Lane', drainsTo: 'CB-1' } },
  structures: {
    'CB-1': { kind: 'catch-basin' },
    'MH-1': { kind: 'manhole', name: 'Lid of the yard' },
    'OUT-1': { kind: 'outfall' },
  },
  links: { 'P-1': { from: 'CB-1', to: 'MH-1' }, 'P-2': { from: 'MH-1', to: 'OUT-1' } },
});

/** A drawing with all that can be written on one, of a lid to lift and what to do about a spill. */
function drawn(voice: Voice, more: object = {}): string {
  const flat = drawFlat(map);
  const yard = {
    flat,
    transform: fitTo(flat.bounds, { width: 8000, height: 8000, margin: 300 }),
    answer: { zones: [{ id: 'Z-1', share: 0.62 }], groups: [] },
    unprotected: new Set(['Z-1', 'Z-2']),
    seen: null,
    looks: [],
    unexplained: null,
    here: [0, 0],
    lids: ['CB-1'],
    block: { zone: 'Z-1', spill: { arrivals: [{ id: 'OUT-1', minutes: 4 }], ways: [] }, answer: null },
    acts: [
      { control: 'plug', at: 'MH-1', oilMinutes: 4, isPlaced: false },
      { control: 'berm', at: 'Z-1', oilMinutes: 4, isPlaced: false },
    ],
    spillAt: [0, 0],
    timer: { isOn: false, heldTo: null, said: () => '', brief: () => '', part: () => 0 },
    plan: {
      kits: [true, false].map((isStanding, at) => ({
        letter: 'AB'[at],
        spot: null,
        isStanding,
        at: [0, 0],
        serves: [],
      })),
      measures: [{ number: 1, measure: 'sweeping', at: 'CB-1' }],
    },
    voice,
    pickedId: null,
    ways: null,
    hatchId: 'hatch',
    ...more,
  } as unknown as DrawnYard;
  return renderToString(h('svg', {}, h(Drawing, yard)))
    .replace(/<[^>]*>/g, '\n')
    .replace(/\s*\n\s*/g, '\n');
}

test('what stands on the map is said by the catalogue, but for names and ids', async () => {
  const voice = await pseudoVoice({ units: 'us' });
  const said = drawn(voice);
  for (const words of ['Lift', 'bypass', 'The spill', 'You are here', 'Kit', 'Plug', 'Berm', '62'])
    expect(said).toContain(words);
  expect(escapedWords(said, NAMES)).toEqual([]);
  const bars = [1, 0.001, 100].map((metresPerPixel) => scaleLength(metresPerPixel, 100, voice).label);
  expect(escapedWords(bars.join(' '))).toEqual([]);
});

test('a grate is lifted as a grate and a lid as a lid, where a language has two words', () => {
  expect(drawn(SPANISH)).toContain('Levante la rejilla de CB-1');
  expect(drawn(SPANISH, { lids: ['MH-1'] })).toContain('Levante la tapa de MH-1');
  expect(drawn(ENGLISH)).toContain('Lift CB-1 next');
});
