import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Voice } from '../../src/catalogue/index.ts';
import * as words from '../../src/words/index.ts';
import { ENGLISH, SPANISH, US_SPANISH } from '../support/english.ts';
import { escapedWords, pseudoVoice } from '../support/pseudo.ts';
import { keysIn } from '../support/told.ts';
import { control, everySentence, NAMES, separator, sources } from './every-sentence.ts';

/** Months as dates have them: Intl writes these, and no message. */
const MONTHS = Array.from({ length: 12 }, (_, month) =>
  new Intl.DateTimeFormat('es', { month: 'short', timeZone: 'UTC' }).format(Date.UTC(2026, month, 15)),
);

/** A voice that writes down which messages it says. */
function listening(voice: Voice): { voice: Voice; said: Set<string> } {
  const said = new Set<string>();
  const hear = (value: unknown) => {
    for (const key of keysIn(value)) said.add(key);
  };
  return {
    said,
    voice: {
      ...voice,
      say: (key, ...values) => {
        said.add(key);
        hear(values);
        return voice.say(key, ...values);
      },
      tell: (told) => {
        hear(told);
        return voice.tell(told);
      },
      text: (value) => {
        hear(value);
        return voice.text(value);
      },
    },
  };
}

describe('what the room says', () => {
  test('is all said by the catalogue, but for names, ids and what Intl writes', async () => {
    const voice = await pseudoVoice();
    const escaped = everySentence(voice).flatMap((sentence) => escapedWords(sentence, [...NAMES, ...MONTHS]));
    expect([...new Set(escaped)]).toEqual([]);
  });

  test('is every message of its sections', () => {
    const { voice, said } = listening(ENGLISH);
    everySentence(voice);
    const catalogue: Record<string, Record<string, string>> = JSON.parse(readFileSync('src/catalogue/en.json', 'utf8'));
    const keys = ['answers', 'days', 'minutes', 'visits'].flatMap((section) =>
      Object.keys(catalogue[section]).map((key) => `${section}.${key}`),
    );
    // Reports say these of what was seen at a place.
    expect(keys.filter((key) => !said.has(key) && !key.startsWith('visits.was-'))).toEqual([]);
  });

  test('says nothing unfinished in any language', () => {
    for (const voice of [ENGLISH, SPANISH, US_SPANISH])
      for (const sentence of everySentence(voice))
        expect(sentence).not.toMatch(/undefined|NaN|\[object|[{}]| {2}|(?<!…)\s[.,;:]/);
  });
});

describe('the Spanish of a crew', () => {
  const kindOf: words.KindOf = (id) => (id.startsWith('CB') ? 'catch-basin' : 'manhole');
  const name = (id: string) => ({ Z1: 'la isla de combustible' })[id] ?? id;
  const plain = (text: string | null | undefined) => (text ?? '').replaceAll(/[\u00a0\u202f]/g, ' ');
  const lid = (at: string) => ({ at, bits: 0.9, chanceOfOil: 0.4, minutes: null, ifOil: null, ifClean: null });

  test('orders', () => {
    expect(words.controlOrders([control('MH-2', 'plug'), control('V-1', 'valve')], name, SPANISH)).toBe(
      'Tapone la salida de MH-2 y cierre la válvula V-1.',
    );
  });

  test('lifts the grate of a basin and the lid of a manhole', () => {
    const next = (at: string) => words.nextLidWords(sources({ nextLids: [lid(at)] }), kindOf, SPANISH);
    expect(next('CB-4')?.order).toBe('Ahora levante la rejilla de CB-4.');
    expect(next('MH-4')?.order).toBe('Ahora levante la tapa de MH-4.');
    expect(next('CB-4')?.worth).toBe('Con o sin aceite, queda la mitad de las zonas sospechosas.');
  });

  test('says how likely, what cannot be told apart, and where to look', () => {
    expect(plain(words.sourcesSentence(sources(), name, SPANISH))).toBe(
      'Lo más probable: la isla de combustible, 62 %, entre 45 y 78.',
    );
    expect(words.groupSentences(sources({ groups: [['Z1', 'Z2']] }), name, SPANISH)[0]).toBe(
      'Con lo que se vio no se pueden distinguir: la isla de combustible, Z2.',
    );
    expect(words.sourcesSentence(sources({ zones: [] }), name, SPANISH)).toContain(
      'Busque una conexión que no esté en el mapa.',
    );
  });

  test('says how full, by when, and what follows', () => {
    const said = words.fullSentences(separator(), { name: 'SEP-1', today: '2026-06-02' }, US_SPANISH);
    expect(said).toEqual([
      '0.35 pulgadas de aceite, 5.49 gal en SEP-1 el 30 may.',
      'A este ritmo pasa su límite hacia el 9 jul.',
      'Revise a más tardar el 20 jun.',
    ]);
    const sediment = { state: 'pump-out', reasons: [{ told: 'upkeep.reason-sediment' }] };
    expect(words.fullSentences(separator(sediment), { name: 'SEP-1', today: '2026-06-02' }, SPANISH)[0]).toMatch(
      /^Mande vaciar SEP-1 ahora mismo: /,
    );
    expect(words.stepWords('clean-outlet', SPANISH).why).toBe('Brillo aceitoso ahí: el separador deja pasar aceite.');
  });

  test('never glues a gender to what was seen', () => {
    const look = (seen: 'clean' | 'oil') =>
      words.lookWords({ seen } as Parameters<typeof words.lookWords>[0], 'CB-6', SPANISH);
    expect([look('clean'), look('oil')]).toEqual(['CB-6 sin aceite', 'CB-6 con aceite']);
    expect(everySentence(SPANISH).filter((sentence) => /\p{L}\/[ao]\b/u.test(sentence))).toEqual([]);
  });
});
