import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { findChromium } from '../../../src/faces/print/print-pdf.ts';
import { runVerb } from '../../support/cli.ts';
import { yardText } from '../../support/yard.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-cards-test-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const DEPOT = 'site-maps/freight-depot.geojson';
const chromium = findChromium(process.env);
const has = (program: string) => spawnSync(program, ['-v']).error === undefined;
const canRead = chromium !== null && has('pdfinfo') && has('pdftotext');
if (!canRead) {
  console.warn(
    'The PDF of cards is not tested: it takes a Chromium, pdfinfo and pdftotext (Debian: chromium, poppler-utils).',
  );
}

const run = (words: readonly string[], env: NodeJS.ProcessEnv = {}) => runVerb(['cards', ...words], { env });

/** Roofs and verges of the demo yards have no card: no fluid is kept there. */
const hasCard = ({ properties: { kind, activity } }: { properties: { kind: string; activity?: string } }) =>
  kind === 'zone' && activity !== 'roof' && activity !== 'landscape';

/** Width and height of a sheet in points: 210 × 297 mm, and 8.5 × 11 in. */
const SHEETS = { a4: [595, 842], letter: [612, 792] } as const;

/** A little less than the lower margin of a card. */
const MARGIN_PT = 18;

/** The last line stands at the foot of its page, above the margin. The program's name may stand in words higher up, too. */
function expectFoot(page: string, heightPt: number) {
  const foot = Number([...page.matchAll(/yMax="([\d.]+)">Oilshed</g)].at(-1)?.[1]);
  expect(foot).toBeGreaterThan(heightPt - 2 * MARGIN_PT);
  expect(foot).toBeLessThan(heightPt - MARGIN_PT);
}

describe.skipIf(!canRead)('the PDF of cards', () => {
  test.each(['a4', 'letter'] as const)(
    'on %s has one page for each zone, and its text can be searched',
    async (paper) => {
      const out = join(folder, `${paper}.pdf`);
      const { status, stdout, stderr } = await run([DEPOT, '--out', out, '--paper', paper, '--json']);
      expect([status, stderr]).toEqual([0, '']);
      const { features, site } = JSON.parse(readFileSync(DEPOT, 'utf8'));
      const zones = features.filter(hasCard);
      const { cards } = JSON.parse(stdout);
      expect(cards.map(({ zone, page }: { zone: string; page: number }) => [zone, page])).toEqual(
        zones.map(({ id }: { id: string }, at: number) => [id, at + 1]),
      );

      const info = spawnSync('pdfinfo', [out], { encoding: 'utf8' }).stdout;
      expect(Number(/^Pages:\s+(\d+)/m.exec(info)?.[1])).toBe(zones.length);
      const [, width, height] = /^Page size:\s+([\d.]+) x ([\d.]+)/m.exec(info) ?? [];
      expect([Math.round(Number(width)), Math.round(Number(height))]).toEqual(SHEETS[paper]);

      // The last line stands above the lower margin on every page: nothing was pushed off the sheet.
      const boxes = spawnSync('pdftotext', ['-bbox', out, '-'], { encoding: 'utf8' }).stdout.split('<page ').slice(1);
      for (const page of boxes) expectFoot(page, Number(height));

      const version = createHash('sha256').update(readFileSync(DEPOT)).digest('hex').slice(0, 12);
      const pages = spawnSync('pdftotext', [out, '-'], { encoding: 'utf8' }).stdout.split('\f');
      zones.forEach(({ id, properties }: { id: string; properties: { name: string } }, at: number) => {
        const text = pages[at].replace(/\s+/g, ' ');
        for (const words of [properties.name, 'call the emergency number first', 'Write down', 'Take care.']) {
          expect(text).toContain(words);
        }
        // Four calls stand large, the others by role and number below them.
        for (const { phone } of site.contacts) expect(text.replaceAll(' ', '')).toContain(phone.replaceAll(' ', ''));
        expect(text).toContain(`${site.name} · ${id} · printed`);
        expect(text).toContain(`map ${version}`);
      });
    },
    60_000,
  );
});

describe.skipIf(!canRead)('in both languages', () => {
  const yards = ['freight-depot', 'gravel-haul-yard', 'two-bay-garage'];
  test.each(yards.flatMap((yard) => (['a4', 'letter'] as const).map((paper) => ({ yard, paper }))))(
    'each card of $yard is one page of $paper, whole',
    async ({ yard, paper }) => {
      const map = `site-maps/${yard}.geojson`;
      const { features } = JSON.parse(readFileSync(map, 'utf8'));
      const zones = features.filter(hasCard);
      for (const language of ['en', 'es']) {
        const out = join(folder, `${yard}-${paper}-${language}.pdf`);
        const { status, stderr } = await run([map, '--out', out, '--paper', paper, '--lang', language]);
        expect([status, stderr]).toEqual([0, '']);
        const boxes = spawnSync('pdftotext', ['-bbox', out, '-'], { encoding: 'utf8' }).stdout.split('<page ').slice(1);
        expect(boxes).toHaveLength(zones.length);
        // The words of one language alone are as long as its own; what they push off the sheet, its foot, is still on it.
        for (const page of boxes) expectFoot(page, SHEETS[paper][1]);
      }
    },
    60_000,
  );
});

describe('the verb', () => {
  test('writes HTML with no browser at hand', async () => {
    const out = join(folder, 'cards.html');
    const { status } = await run(['site-maps/two-bay-garage.geojson', '--out', out], {
      CHROMIUM_PATH: join(folder, 'none'),
    });
    expect(status).toBe(0);
    expect(readFileSync(out, 'utf8').match(/<article class="card"/g)).toHaveLength(4);
  });

  test('says in one line what to do where no Chromium is found, or where it makes no PDF', async () => {
    const out = join(folder, 'never.pdf');
    const missing = await run([DEPOT, '--out', out], { CHROMIUM_PATH: join(folder, 'none') });
    expect([missing.status, missing.stdout]).toEqual([1, '']);
    expect(missing.stderr).toMatch(/^cards: no Chromium was found .*--out cards\.html and print that.*\n$/);
    const broken = await run([DEPOT, '--out', out], { CHROMIUM_PATH: process.execPath });
    expect([broken.status, broken.stdout]).toEqual([1, '']);
    expect(broken.stderr).toMatch(/^cards: .* made no PDF \(.*\).*\n$/);
    expect(existsSync(out)).toBe(false);
  });

  test.each([
    [['--out', 'cards.doc'], /--out is "cards\.doc"; write a name that ends in \.pdf or \.html/],
    [['--out', 'x.html', '--paper', 'a5'], /--paper is "a5"; write one of a4, letter/],
    [['--out', 'x.html', '--litres', '0'], /--litres is "0"/],
    [['--out', 'x.html', '--rain', 'much'], /--rain is "much"/],
    [['--out', 'x.html', '--link', 'javascript:alert(1)'], /--link is "javascript:alert\(1\)"; write the address/],
    [[], /--out/],
  ])('refuses %j with exit status 2', async (words, message) => {
    const { status, stdout, stderr } = await run([DEPOT, ...words]);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(message);
  });

  test('says where it cannot write, and that a map has no zone', async () => {
    const unwritable = await run([DEPOT, '--out', join(folder, 'no', 'folder', 'cards.html')]);
    expect(unwritable.status).toBe(1);
    expect(unwritable.stderr).toMatch(/cards\.html: it could not be made \(ENOENT\); name another with --out/);
    const bare = join(folder, 'bare.geojson');
    writeFileSync(bare, yardText({ structures: { 'CB-1': { kind: 'catch-basin' } } }));
    const empty = await run([bare, '--out', join(folder, 'bare.html')]);
    expect(empty.status).toBe(1);
    expect(empty.stderr).toMatch(/bare\.geojson: no zone is on the map/);
  });
});
