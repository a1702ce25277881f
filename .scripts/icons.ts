// `npm run icons`: draws the icons that phones and desks want as PNG from src/faces/web/public/oilshed.svg, with a Chromium.
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import { findChromium } from './chromium.mjs';

const folder = fileURLToPath(new URL('../src/faces/web/public/', import.meta.url));
const drawing = readFileSync(`${folder}oilshed.svg`, 'utf8');
/** What the drawing's own square is filled with, to its edges where others cut the corners. */
const GROUND = '#f6f3ec';

/** `part` is how much of the side the drawing takes up; left out, it stands with its own round corners on nothing. */
const ICONS: readonly { name: string; side: number; part?: number }[] = [
  { name: 'icon-192', side: 192 },
  { name: 'icon-512', side: 512 },
  // A maskable icon is cut to a circle of four fifths of its side (W3C Web App Manifest): the corners of the drawing lie within.
  { name: 'icon-maskable-512', side: 512, part: 0.72 },
  { name: 'apple-touch-icon', side: 180, part: 0.9 },
];

const browser = await chromium.launch({ executablePath: findChromium(), args: ['--no-sandbox', '--disable-gpu'] });
const page = await browser.newPage();
for (const { name, side, part = 1 } of ICONS) {
  await page.setViewportSize({ width: side, height: side });
  const ground = part < 1 ? GROUND : 'transparent';
  await page.setContent(
    `<body style="margin:0;height:100vh;display:grid;place-items:center;background:${ground}">${drawing}` +
      `<style>svg{width:${100 * part}vw;height:${100 * part}vh}</style>`,
  );
  writeFileSync(`${folder}${name}.png`, await page.screenshot({ omitBackground: true }));
}
await browser.close();
