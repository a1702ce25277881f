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
  [/\bAndroid\b/, 'Android'],
  [/\biPhone\b/, 'an iPhone'],
  [/\biPad\b/, 'an iPad'],
  [/\bWindows\b/, 'Windows'],
  [/\bMac OS X\b/, 'a Mac'],
  [/\bLinux\b/, 'Linux'],
];

/** "Firefox on Android", as far as a browser's name for itself tells it; else "A browser". */
export function agentWords(agent: string): string {
  const find = (known: readonly [RegExp, string][]) => known.find(([pattern]) => pattern.test(agent))?.[1];
  const [browser = 'A browser', system] = [find(BROWSERS), find(SYSTEMS)];
  return system === undefined ? browser : `${browser} on ${system}`;
}
