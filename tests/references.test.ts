import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { expect, test } from 'vitest';

/*
 * Whoever reads this project has nothing but what stands in it and what is published. So a comment, a test or a page names
 * the published source of a number, by author, year and place, and no document that only the writer had.
 */

/** What comes right before a § where the document is a published one: "RFC 9110 §7.6", "40 CFR 112.8 §1". */
const PUBLISHED = String.raw`(?:RFC|ISO|FIPS|CFR|APPNOTE\.TXT) [\d.-]+ |fileformat\.html |third edition, `;

const UNPUBLISHED: readonly RegExp[] = [
  new RegExp(`(?<!${PUBLISHED})§`),
  // One of a list of facts by its letter and number.
  /\b[Cc]hecks? \(?[A-Z]\d/,
  /\b[A-Z]\d{1,2}, (?:seen|from memory|self-derived)\b/i,
  /\b(?:test|describe)\(\s*['"`][A-Z]\d{1,2}[:,] /,
  // A document of those who make the project.
  /\bthe contract\b|\(contract\b|\bcontract (?:§|section|page)/i,
  /\(design\b|\bdesign (?:§|section|page|says|asks)/i,
  /\b[Ii]ssues? #?\d/,
  /(?<![\w-])(?:checks(?:-\d)?|contract|design|face|fill|hunt|spill|stack|style)\.md\b/i,
];

/** The number of each line that names what a reader cannot find, also where a comment goes on from the line before. */
function linesThatRefer(text: string): number[] {
  const lines = text.split('\n').map((line) => line.replace(/^\s*(?:\*|\/\/) /, '').trim());
  return lines.flatMap((line, at) => {
    const before = at === 0 ? '' : `${lines[at - 1]} `;
    const ends = UNPUBLISHED.flatMap((pattern) =>
      [...(before + line).matchAll(new RegExp(pattern, `${pattern.flags}g`))].map(
        ({ index, 0: found }) => index + found.length,
      ),
    );
    return ends.some((end) => end > before.length) ? [at + 1] : [];
  });
}

const READ = /\.(?:tsx?|mjs|css|md|py)$/;
const OWN = 'tests/references.test.ts';

const filesUnder = (folder: string) =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .map((name) => join(folder, name))
    .filter((name) => READ.test(name) && name !== OWN);

test('no comment, test or page refers to a document that nobody can find', () => {
  const files = ['src', 'tests', 'docs', '.scripts', '.config'].flatMap(filesUnder);
  expect(files.length).toBeGreaterThan(400);
  const found = [...files, 'README.md', 'DEVELOPERS.md'].flatMap((file) =>
    linesThatRefer(readFileSync(file, 'utf8')).map((line) => `${file}:${line}`),
  );
  expect(found).toEqual([]);
});

test.each([
  '/** Rise by Stokes’ law (checks S1, S2). */',
  "test('P1: half-full drain', () => {",
  'describe("R1: nine sewers", () => {',
  '    // V1, seen: 818.7 to 840 kg/m³.',
  ' * Check R1: nine storm sewers.',
  '| roadway | 0.7 | guess (L5, from memory) |',
  '/** Defaults of the contract (§5). */',
  ' * A guess (design §3).',
  'never under 0.001 (contract).',
  'answers with the keys of the contract',
  'the prior (see §3)',
  'as issue 11 asks',
  'read design.md first',
  'Check values stand in CHECKS-2.md.',
  ' * A year is 365.25 days (contract\n * §2).',
  ' * as the list of checks has it: check\n * R5 gives 1.008.',
])('is found: %s', (text) => {
  expect(linesThatRefer(text)).not.toEqual([]);
});

test.each([
  '/** The box format (ISO 14496-12 §4.2). */',
  'RFC 9110 §7.6',
  ' * as the standard says (RFC 5545\n * §3.6.1).',
  'sqlite.org/fileformat.html §1.3',
  '(seen: Stenstrom et al. 1984, table 2)',
  'Call the contractor to pump it out.',
  'the design flow of a separator',
  'const CHECKS = 3;',
  'check every photo of 2026',
  "zones: { Z1: { drainsTo: 'CB-1' } },",
  'oilshed spill MAP --zone Z1 --litres 200',
  'A6.5 6.5 0 0 1 0 9',
  'docs/decisions/0001-ground.md',
  '/** Z1, 1.1 km over the ground from CB-1. */',
])('is no such reference: %s', (text) => {
  expect(linesThatRefer(text)).toEqual([]);
});

test('the line is the one where the reference ends', () => {
  expect(linesThatRefer('/*\n * A guess.\n * It rests on check\n * R5 alone.\n */')).toEqual([4]);
});

/** The files and folders of the project that a page names, as text or as a link; `NAME` stands for one that is to be made. */
function placesNamed(page: string, text: string): string[] {
  const named = text.matchAll(/(?<![\w./])(?:src|tests|docs|site-maps|\.scripts|\.config)\/[\w./-]*\w/g);
  const linked = text.matchAll(/\]\((?!https?:|#)([^)#\s]+)/g);
  return [...[...named].map(([place]) => place), ...[...linked].map(([, place]) => join(dirname(page), place))];
}

test('every file that a page names is there', () => {
  expect(placesNamed('docs/a.md', 'see `src/units/index.ts`, [b](c/d.md#e) and [f](#g)')).toEqual([
    'src/units/index.ts',
    'docs/c/d.md',
  ]);
  const pages = ['README.md', 'DEVELOPERS.md', ...filesUnder('docs').filter((name) => name.endsWith('.md'))];
  const missing = pages.flatMap((page) =>
    placesNamed(page, readFileSync(page, 'utf8'))
      .filter((place) => !place.includes('NAME') && !existsSync(place))
      .map((place) => `${page}: ${place}`),
  );
  expect(missing).toEqual([]);
});
