import { describe, expect, test } from 'vitest';
import { loadMessages, type Messages, type Quantity, told, voiceOf } from '../../src/catalogue/index.ts';
import { ENGLISH, SPANISH, US_ENGLISH, US_SPANISH } from '../support/english.ts';
import { escapedWords, pseudoVoice } from '../support/pseudo.ts';

describe('a voice', () => {
  test.each<[Quantity, string, string, string, string]>([
    [{ litres: 5 }, '5 L', '1.32 gal', '5 L', '1.32 gal'],
    [{ litres: 0.19 }, '0.19 L', '0.05 gal', '0,19 L', '0.05 gal'],
    [{ litres: 0.001 }, '1 mL', '<0.01 gal', '1 mL', '<0.01 gal'],
    [{ millimetres: 9 }, '9 mm', '0.35 in', '9 mm', '0.35 pulgadas'],
    [{ lps: 2 }, '2.0 L/s', '32 gpm', '2,0 L/s', '32 gpm'],
    [{ money: 1250 }, 'US$1,250', '$1,250', '1250 US$', '$1,250'],
    [{ about: 17_240 }, 'about US$20,000', 'about $20,000', 'cerca de 20.000 US$', 'cerca de $20,000'],
    [{ about: 17_240, digits: 2 }, 'about US$17,000', 'about $17,000', 'cerca de 17.000 US$', 'cerca de $17,000'],
    [{ share: 0.62 }, '62%', '62%', '62 %', '62%'],
    [{ share: 0.999 }, '>99%', '>99%', '>99 %', '>99%'],
    [{ share: 0.0001 }, '<1%', '<1%', '<1 %', '<1%'],
    [{ day: '2026-03-12' }, '12 Mar 2026', 'Mar 12, 2026', '12 mar 2026', '12 mar 2026'],
    [{ number: 12345.6, digits: 1 }, '12,345.6', '12,345.6', '12.345,6', '12,345.6'],
    [{ list: ['A', 'B', 'C'] }, 'A, B and C', 'A, B, and C', 'A, B y C', 'A, B y C'],
    [{ choice: ['A', 'B'] }, 'A or B', 'A or B', 'A o B', 'A o B'],
  ])('writes %j by the habits of language and site', (quantity, ...said) => {
    const voices = [ENGLISH, US_ENGLISH, SPANISH, US_SPANISH];
    expect(voices.map((voice) => voice.text(quantity).replaceAll(/[\u00a0\u202f]/g, ' '))).toEqual(said);
  });

  test('says what is told, and what stands inside it, and leaves names as they are', () => {
    const inner = told('units.days', { count: 2 });
    const problem = told('map.same-for-more', { message: inner, more: 1, first: 1000 });
    expect(ENGLISH.tell(problem)).toMatch(/^2 days; the same holds for 1 feature after the first 1,000/);
    const name = String.raw`C:\x41\u0042 {a} <b>#</b>`;
    expect(ENGLISH.say('units.gal', { amount: name })).toBe(`${name} gal`);
  });

  test('tells the parts of a message apart by its tags, but not by those of a name', async () => {
    const messages: Messages = { ...(await loadMessages('en')), 'units.gal': ['Lift <b>', ['amount'], '</b> next'] };
    const voice = voiceOf({ language: 'en', messages });
    const name = '<b>CB-4</b>';
    const parts = [{ text: 'Lift ' }, { text: name, tag: 'b' }, { text: ' next' }];
    expect(voice.parts('units.gal', { amount: name })).toEqual(parts);
  });

  test('of a language that does not exist shows what no message said', async () => {
    const voice = await pseudoVoice();
    const said = voice.text(
      told('map.same-for-more', { message: told('units.days', { count: 2 }), more: 3, first: 9 }),
    );
    expect(escapedWords(`CB-4: ${said}`, ['CB-4'])).toEqual([]);
    expect(escapedWords(`CB-4: ${said} oil`, ['CB-4'])).toEqual(['oil']);
  });
});
