import type { Voice } from '../../../catalogue/index.ts';

/** What a browser calls itself (`User-Agent`) has every other's name in it, so the more special come first. */
const BROWSERS: readonly [RegExp, string][] = [
  [/\bEdgA?\//, 'Edge'],
  [/\bOPR\//, 'Opera'],
  [/\bSamsungBrowser\//, 'Samsung Internet'],
  [/\b(Firefox|FxiOS)\//, 'Firefox'],
  [/\b(HeadlessChrome|Chrome|CriOS)\//, 'Chrome'],
  [/\bSafari\//, 'Safari'],
];
const SYSTEMS: readonly [RegExp, string][] = [
  [/\bAndroid\b/, 'android'],
  [/\biPhone\b/, 'iphone'],
  [/\biPad\b/, 'ipad'],
  [/\bWindows\b/, 'windows'],
  [/\bMac OS X\b/, 'mac'],
  [/\bLinux\b/, 'linux'],
];

/** "Firefox on Android", as far as a browser's name for itself tells it; else "A browser". */
export function agentWords(agent: string, { say }: Voice): string {
  const find = (known: readonly [RegExp, string][]) => known.find(([pattern]) => pattern.test(agent))?.[1];
  const [browser, system] = [find(BROWSERS), find(SYSTEMS)];
  if (system === undefined) return browser ?? say('account.a-browser');
  return browser === undefined
    ? say('account.a-browser-on', { system })
    : say('account.browser-on', { browser, system });
}
