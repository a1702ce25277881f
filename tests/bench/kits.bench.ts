import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import loadHighs from 'highs';
import { type IntegerProgram, integerSolver } from '../../src/algorithms/index.ts';
import { compileDrainage } from '../../src/drainage/index.ts';
import { findKits, planKits } from '../../src/kits/index.ts';
import { pMedian } from '../../src/kits/median.ts';
import { readSiteMap } from '../../src/site-map/index.ts';
import { startApp } from '../support/browser.ts';
import { readMedianFile } from '../support/pmed.ts';
import { yardText } from '../support/yard.ts';
import { measure } from './measure.ts';

const PMED = '../shared/checks/pmed';
const GLPK_SECONDS = 60;

/** The program as text of the common LP format, for other solvers. */
function lpText({ cost, isWhole, rows }: IntegerProgram): string {
  const sum = (variables: readonly number[], factors: readonly number[]) =>
    variables.map((variable, at) => `${factors[at] < 0 ? '-' : '+'} ${Math.abs(factors[at])} x${variable}`).join('\n ');
  const all = Array.from(cost.keys());
  const lines = rows.flatMap(({ variables, factors, atLeast, atMost }, row) => {
    const terms = sum(variables, factors);
    if (atLeast === atMost) return [` r${row}: ${terms} = ${atMost}`];
    return [
      ...(Number.isFinite(atLeast) ? [` l${row}: ${terms} >= ${atLeast}`] : []),
      ...(Number.isFinite(atMost) ? [` u${row}: ${terms} <= ${atMost}`] : []),
    ];
  });
  const bounds = all.filter((at) => !isWhole[at]).map((at) => ` 0 <= x${at} <= 1`);
  const whole = all.filter((at) => isWhole[at]).map((at) => ` x${at}`);
  return [
    'Minimize',
    ` ${sum(all, cost)}`,
    'Subject To',
    ...lines,
    'Bounds',
    ...bounds,
    'Binary',
    ...whole,
    'End',
  ].join('\n');
}

/** Seconds that GLPK takes to prove the optimum; null where it is not here or not done in a minute. */
function glpkSeconds(program: IntegerProgram): number | null {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-glpk-'));
  const file = join(folder, 'program.lp');
  writeFileSync(file, lpText(program));
  const start = performance.now();
  const { status, stdout } = spawnSync('glpsol', ['--lp', file, '--tmlim', String(GLPK_SECONDS)], { encoding: 'utf8' });
  const seconds = (performance.now() - start) / 1000;
  rmSync(folder, { recursive: true });
  return status === 0 && stdout.includes('INTEGER OPTIMAL SOLUTION FOUND') ? seconds : null;
}

/** Sixty zones and sixty spots on a grid, a yard larger than most. */
function sixtyZones() {
  const zones = Object.fromEntries(
    Array.from({ length: 60 }, (_, at) => [`Z${at}`, { oilLitresPerYear: 1 + (at % 7), drainsTo: 'CB-1' }]),
  );
  const others = Array.from({ length: 60 }, (_, at) => ({
    type: 'Feature',
    id: `S${at}`,
    properties: { kind: 'kit-spot' },
    geometry: { type: 'Point', coordinates: [-105 + 0.0005 * at, 40.0105 + 0.0001 * (at % 5)] },
  }));
  const text = yardText({ zones, structures: { 'CB-1': { kind: 'catch-basin' } }, others });
  return text;
}

/** Presses a button and waits for the answer; ms. In the page's own words, as the bench's compiler adds names of its own to functions. */
const ANSWER_AFTER = `(name) => new Promise((resolve) => {
  const start = performance.now();
  const button = [...document.querySelectorAll('button')].find((each) => [each.ariaLabel, each.textContent].includes(name));
  let wasBusy = false;
  const look = () => {
    if (!document.querySelector('.plan-more') || !document.querySelector('.answer[aria-busy=false]')) wasBusy = true;
    else if (wasBusy) return resolve(performance.now() - start);
    requestAnimationFrame(look);
  };
  button.click();
  requestAnimationFrame(look);
})`;

/** Milliseconds from pressing "One kit more" to the answer on screen, for each press; the rest after typing (200 ms) among them. */
async function inBrowser(mapText: string, presses: number): Promise<{ first: number; later: number[] }> {
  const { server, browser } = await startApp();
  try {
    const page = await browser.newPage();
    await page.goto(server.address);
    await page.locator('.zones .zone-row').first().waitFor();
    await page.setInputFiles('input[type=file]', {
      name: 'sixty.geojson',
      mimeType: 'application/geo+json',
      buffer: Buffer.from(mapText),
    });
    await page.getByText('sixty.geojson').first().waitFor({ state: 'attached' });
    const answerAfter = (name: string) => page.evaluate<number>(`(${ANSWER_AFTER})(${JSON.stringify(name)})`);
    const first = await answerAfter('Prepare');
    const later: number[] = [];
    for (let press = 0; press < presses; press++) {
      // The curve is worked out in between, as it is for a person.
      await page.waitForTimeout(1000);
      later.push(await answerAfter('One kit more'));
    }
    return { first, later };
  } finally {
    await browser.close();
    await server.close();
  }
}

/** OR-Library p-medians by the room's own way through HiGHS, and the same programs by GLPK; a yard of sixty zones. */
export async function run(print: (line: string) => void): Promise<void> {
  const solve = integerSolver(await loadHighs());
  if (existsSync(PMED)) {
    print('case     optimum  ours, s  GLPK ÷ ours (same program)');
    for (const name of ['pmed1', 'pmed2', 'pmed3', 'pmed4', 'pmed5']) {
      const { distance, count } = readMedianFile(readFileSync(`${PMED}/${name}.txt`, 'utf8'));
      const median = { distance, weight: distance.map(() => 1), count, fixed: [] };
      let program: IntegerProgram | null = null;
      pMedian(median, (each) => {
        program = each;
        return null;
      });
      const ours = measure(() => pMedian(median, solve)?.cost ?? Number.NaN, { most: 3, budgetMs: 15_000 });
      const theirs = program && glpkSeconds(program);
      const ratio =
        theirs === null
          ? `GLPK is not here, or not done in ${GLPK_SECONDS} s`
          : ((1000 * theirs) / ours.least).toFixed(1);
      print(
        `${name}  ${String(pMedian(median, solve)?.cost).padStart(8)}  ${(ours.least / 1000).toFixed(2).padStart(7)}  ${ratio}`,
      );
    }
  } else print(`OR-Library: skipped, it is not at ${PMED}`);
  const text = sixtyZones();
  const yard = compileDrainage(readSiteMap(text).map);
  const timed = (name: string, work: () => number) => {
    const { least } = measure(work, { most: 3, budgetMs: 10_000 });
    print(`sixty zones, sixty spots, four kits${name}: ${(least / 1000).toFixed(2)} s`);
  };
  timed('', () => planKits(yard, { count: 4 }, solve).answer?.meanMinutes ?? Number.NaN);
  timed(' and the curve to eight', () => findKits(yard, { count: 4 }, solve).answer?.meanMinutes ?? Number.NaN);
  if (!existsSync(process.env.CHROMIUM_PATH ?? '/usr/bin/chromium'))
    return print('in a browser: skipped, there is none here');
  const { first, later } = await inBrowser(text, 4);
  print(`in a browser: first answer, with the solver to load, ${(first / 1000).toFixed(2)} s`);
  print(`in a browser: one kit more, ${later.map((each) => (each / 1000).toFixed(2)).join(', ')} s`);
}
