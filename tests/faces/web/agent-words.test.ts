import { expect, test } from 'vitest';
import { agentWords } from '../../../src/faces/web/log/agent-words.ts';
import { ENGLISH, SPANISH } from '../../support/english.ts';

test.each([
  ['Mozilla/5.0 (Android 15; Mobile; rv:144.0) Gecko/144.0 Firefox/144.0', 'Firefox on Android'],
  [
    'Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/142.0.0.0 Safari/537.36 Edg/142.0.0.0',
    'Edge on Windows',
  ],
  [
    'Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.0 Mobile/15E148 Safari/604.1',
    'Safari on an iPhone',
  ],
  [
    'Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/142.0.0.0 Safari/537.36',
    'Chrome on a Mac',
  ],
  ['curl/8.5.0', 'A browser'],
  ['', 'A browser'],
])('%s is told as %s', (agent, words) => {
  expect(agentWords(agent, ENGLISH)).toBe(words);
});

test('a browser and its system are told in Spanish too', () => {
  expect(agentWords('Mozilla/5.0 (iPhone) Version/18.0 Safari/604.1', SPANISH)).toBe('Safari en un iPhone');
  expect(agentWords('Mozilla/5.0 (X11; Linux x86_64) Something/1.0', SPANISH)).toBe('Un navegador en Linux');
});
