import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { compileDrainage, oilshed } from '../../../src/drainage/index.ts';
import { readSiteMap } from '../../../src/site-map/index.ts';
import { runVerb } from '../../support/cli.ts';
import { yardText } from '../../support/yard.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-cli-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function write(name: string, text: string): string {
  const file = join(folder, name);
  writeFileSync(file, text);
  return file;
}

const run = (...words: string[]) => runWith('', ...words);

/** Runs it with a text on standard input. */
const runWith = (input: string, ...words: string[]) => runVerb(words, { input });

/** Standard output as its one JSON object. */
const objectOf = async (...words: string[]) => JSON.parse((await run(...words, '--json')).stdout);

const yard = {
  site: { name: 'Test yard', units: 'us', odds: { releaseLitres: 2, unmappedShare: 0 } },
  zones: {
    Z1: { name: 'Fuel island', oilLitresPerYear: 8, drainsTo: 'CB-1' },
    Z2: { name: 'Parking', oilLitresPerYear: 4, drainsTo: 'CB-2' },
  },
  structures: {
    'CB-1': { kind: 'catch-basin', holds: 0 },
    'CB-2': { kind: 'catch-basin', holds: 0 },
    'SEP-1': { kind: 'separator', holds: 0.9 },
    'OUT-1': { kind: 'outfall' },
  },
  links: { P1: { from: 'CB-1', to: 'SEP-1' }, P2: { from: 'CB-2', to: 'SEP-1' }, P3: { from: 'SEP-1', to: 'OUT-1' } },
};
const map = write('yard.geojson', yardText(yard));
const findings = write(
  'yard.findings.json',
  JSON.stringify({
    format: 'oilshed-findings',
    version: 1,
    findings: [
      { id: 'F1', at: 'SEP-1', since: '2026-03-01', seenAt: '2026-05-30', amount: { litres: 5, factor: 1.2 } },
    ],
  }),
);

describe('the command line', () => {
  test('check prints its object and exits 0 on a sound map', async () => {
    const { status, stdout, stderr } = await run('check', map, '--json');
    expect([status, stderr]).toEqual([0, '']);
    expect(JSON.parse(stdout)).toMatchObject({
      counts: { zones: 2, structures: 4, links: 3 },
      problems: [],
      separators: [{ id: 'SEP-1', zones: ['Z1', 'Z2'] }],
      unprotected: [],
      loops: [],
      deadEnds: [],
    });
    expect((await run('check', map)).stdout).toContain('Test yard: sound.');
  });

  test('check on a broken map exits 1, prints the object all the same, and one line for each error', async () => {
    const broken = write(
      'broken.geojson',
      yardText({ ...yard, links: { ...yard.links, P4: { from: 'CB-9', to: 'CB-8' } } }),
    );
    const { status, stdout, lines } = await run('check', broken, '--json');
    expect(status).toBe(1);
    expect(
      JSON.parse(stdout).problems.filter(({ severity }: { severity: string }) => severity === 'error'),
    ).toHaveLength(2);
    expect(lines).toEqual([
      `${broken}: P4: from: no structure has the id "CB-9"; write the id of a structure on this map, or draw the one that is missing`,
      `${broken}: P4: to: no structure has the id "CB-8"; write the id of a structure on this map, or draw the one that is missing`,
    ]);
    // Every other verb refuses such a map the same way.
    expect(await run('shed', broken, '--at', 'SEP-1')).toMatchObject({ status: 1, stdout: '', lines });
  });

  test('shed, sources and block answer with the keys that programs rely on', async () => {
    expect(await objectOf('shed', map, '--at', 'SEP-1')).toEqual({
      at: 'SEP-1',
      zones: [
        { id: 'Z1', areaM2: expect.any(Number), delivered: 1 },
        { id: 'Z2', areaM2: expect.any(Number), delivered: 1 },
      ],
      areaM2: expect.any(Number),
    });
    const sources = await objectOf('sources', map, '--findings', findings);
    expect(sources).toMatchObject({
      at: 'SEP-1',
      zones: [{ id: 'Z1' }, { id: 'Z2' }],
      unmapped: { share: 0 },
      groups: [['Z1', 'Z2']],
    });
    expect(sources.zones[0].share).toBeCloseTo(8 / 12, 12);
    expect(sources.nextLids[0]).toEqual({
      at: expect.any(String),
      bits: expect.any(Number),
      chanceOfOil: expect.any(Number),
      minutes: null,
    });
    const block = await objectOf('block', map, '--zone', 'Z1', '--litres', '200');
    expect(block).toMatchObject({
      plan: {
        controls: [{ at: 'CB-1', control: 'cover', cost: 40, oilMinutes: expect.any(Number), crewMinutes: null }],
        controlCost: 40,
        cleanupCost: 0,
        totalCost: 40,
      },
      doNothingCost: expect.any(Number),
    });
    // A sock is a control of a basin too, and the cheaper one that holds all while time is not counted.
    expect(block.singles[0]).toMatchObject({ at: 'CB-1', control: 'sock', totalCost: 20, inTime: true });
    expect(block.plan.controls[0]).toMatchObject({ hand: null, keepsLitres: expect.any(Number), needs: null });
    const { released, ...rest } = block.plan.litres;
    expect(Object.keys(rest)).toEqual(['kept', 'held', 'onGround', 'toWater', 'toPublicDrain', 'moving']);
    const sum = Object.values<number>(rest).reduce((all, each) => all + each, 0);
    expect(sum).toBeCloseTo(released, 6);
    expect(block.doNothing).toMatchObject({ cost: block.doNothingCost, litres: { kept: 0 } });
  });

  test('spill answers with the keys that programs rely on, first come first; rain, duration and time gone by count', async () => {
    const words = ['spill', map, '--zone', 'Z1', '--litres', '2000'];
    const spill = await objectOf(...words);
    expect(spill).toMatchObject({
      arrivals: [{ id: 'CB-1' }, { id: 'SEP-1' }, { id: 'OUT-1' }],
      separators: ['SEP-1'],
      outfalls: [{ id: 'OUT-1', minutes: expect.any(Number), pastSeparator: true }],
    });
    const outfall = async (...more: string[]) => (await objectOf(...words, ...more)).outfalls[0].minutes;
    expect(await outfall('--rain', '20')).toBeLessThan(await outfall());
    expect(await outfall('--over', '60')).toBeGreaterThan(await outfall());
    expect(await outfall('--ago', '1')).toBeCloseTo((await outfall()) - 1, 9);
    const { stdout } = await run(...words);
    expect(stdout).toContain('Oil is first at CB-1, no sooner than in 21 min.');
    expect(stdout).toContain('Never enter a vault or a manhole');
    expect(stdout).toContain('no sooner than');
    expect((await run(...words, '--json')).stdout).toBe((await run(...words, '--json')).stdout);
  });

  test('numbers of an answer have the 12 digits they are worth, and no more', async () => {
    const { stdout } = await run('spill', map, '--zone', 'Z1', '--litres', '2000', '--json');
    const digits = [...stdout.matchAll(/: (-?[\d.]+(?:e[+-]\d+)?)/g)].map(
      ([, number]) => number.replace(/e.*/, '').replace(/^-?[0.]*|\./g, '').length,
    );
    expect(Math.max(...digits)).toBe(12);
  });

  test('numbers may carry their unit: the same amount, rain and time give the same answer', async () => {
    const words = ['block', map, '--zone', 'Z1'];
    const si = ['--litres', '189.2705892', '--rain', '25.4', '--over', '90', '--margin', '3'];
    const us = ['--litres', '50gal', '--rain', '1in/h', '--over', '1.5h', '--margin', '180 s'];
    expect(await objectOf(...words, ...us)).toEqual(await objectOf(...words, ...si));
    const { lines } = await run(...words, '--litres', '50ft');
    expect(lines).toEqual([
      'oilshed: --litres is "50ft"; write a number in litres, or one with a unit: L, mL, m3, gal, qt, fl oz; see oilshed block --help',
    ]);
  });

  test('a file named - is standard input, for one file of a command', async () => {
    const [mapText, found] = [readFileSync(map, 'utf8'), readFileSync(findings, 'utf8')];
    expect((await runWith(mapText, 'check', '-', '--json')).stdout).toBe((await run('check', map, '--json')).stdout);
    const sources = (await run('sources', map, '--findings', findings, '--json')).stdout;
    expect((await runWith(mapText, 'sources', '-', '--findings', findings, '--json')).stdout).toBe(sources);
    expect((await runWith(found, 'sources', map, '--findings', '-', '--json')).stdout).toBe(sources);
    const lid = { type: 'Feature', properties: { what: 'lid' }, geometry: { type: 'Point', coordinates: [-105, 40] } };
    const layer = JSON.stringify({ type: 'FeatureCollection', features: [lid] });
    const imported = ['import', '-', '--kind', 'what=lid:manhole', '--out', join(folder, 'imported.geojson'), '--json'];
    expect(JSON.parse((await runWith(layer, ...imported)).stdout).counts).toMatchObject({ read: 1, taken: 1 });
    const twice = await runWith(mapText, 'sources', '-', '--findings', '-');
    expect([twice.status, twice.stdout]).toEqual([2, '']);
    expect(twice.lines).toEqual([expect.stringContaining('standard input can be read once')]);
    expect((await runWith('{', 'check', '-')).lines).toEqual([
      expect.stringMatching(/^standard input: it is not JSON/),
    ]);
  });

  test('a file of another format is told for what it is, with what to do', async () => {
    const pdf = write('yard.pdf', '%PDF-1.7\n');
    const words = 'it is a PDF, and no JSON; draw the yard after it, or ask for the GIS layers it was made from';
    expect(await run('check', pdf)).toMatchObject({ status: 1, stdout: '', lines: [`${pdf}: ${words}`] });
    for (const asked of [
      ['sources', map, '--findings', pdf],
      ['import', pdf, '--out', join(folder, 'none.geojson')],
    ])
      expect(await run(...asked)).toMatchObject({ status: 1, stdout: '', lines: [`${pdf}: ${words}`] });
  });

  test('a hand sets out, and the margin decides what a single control counts as', async () => {
    const words = ['block', map, '--zone', 'Z1', '--litres', '2000', '--over', '1'];
    const block = await objectOf(...words, '--crew=-105,40');
    // Two minutes until a crew sets out, none on foot, two for the cover.
    expect(block.plan.controls[0]).toMatchObject({ at: 'CB-1', control: 'cover', crewMinutes: 4, hand: '-105,40' });
    const coverOf = async (...more: string[]) =>
      (await objectOf(...words, '--crew=-105,40', ...more)).singles.find(
        ({ control }: { control: string }) => control === 'cover',
      );
    expect((await coverOf()).inTime).toBe(true);
    expect((await coverOf('--ago', '19')).inTime).toBe(false);
    expect((await coverOf('--margin', '30')).inTime).toBe(false);
    expect((await objectOf(...words, '--crew', 'CB-1')).plan.controls[0].crewMinutes).toBe(4);
    expect((await objectOf(...words, '--hands=-105,40')).plan).toEqual(block.plan);
  });

  test('several hands are separated by semicolons, or by commas where no position stands among them', async () => {
    const handsOf = async (hands: string) =>
      (await objectOf('block', map, '--zone', 'Z1', '--litres', '20', `--hands=${hands}`)).hands.map(
        ({ id }: { id: string }) => id,
      );
    expect(await handsOf('here')).toEqual(['here']);
    expect(await handsOf('CB-1,here')).toEqual(['CB-1', 'here']);
    expect(await handsOf('here; -105,40')).toEqual(['here', '-105,40']);
  });

  test('a spill that still runs is told in litres a minute', async () => {
    const words = ['spill', map, '--zone', 'Z1', '--litres', '2', '--still'];
    expect((await objectOf(...words)).spill).toMatchObject({ litres: 120, overMinutes: 60, isStill: true });
    expect((await objectOf(...words, '--until', '30')).spill).toMatchObject({ litres: 60, overMinutes: 30 });
  });

  test('what is not said is assumed, and told: ten minutes, a fluid, no kit', async () => {
    const { stdout } = await run('block', map, '--zone', 'Z1', '--litres', '20');
    expect(stdout).toContain('taken as over 10 min');
    expect(stdout).toContain('Nobody said what it is');
    expect(stdout).toContain('No kit is on the map');
  });

  test('findings beside a spill only say what structures hold', async () => {
    const sized = write(
      'sized.geojson',
      yardText({
        ...yard,
        structures: {
          ...yard.structures,
          'SEP-1': { kind: 'separator', holds: 0.9, lengthM: 1, widthM: 0.3, waterDepthM: 1 },
        },
      }),
    );
    const heldOf = async (...more: string[]) =>
      (await objectOf('spill', sized, '--zone', 'Z1', '--litres', '200', '--rain', '10', ...more)).litres.held;
    // 25.4 mm on 0.3 m² are 7.62 L, of which 5 L are taken.
    expect(await heldOf()).toBeCloseTo(7.62, 6);
    expect(await heldOf('--findings', findings)).toBeCloseTo(2.62, 6);
    const block = await objectOf(
      'block',
      sized,
      '--zone',
      'Z1',
      '--litres',
      '200',
      '--rain',
      '10',
      '--findings',
      findings,
    );
    expect(block.doNothing.litres.held).toBeCloseTo(2.62, 6);
  });

  test('--brief is five lines', async () => {
    const { stdout } = await run('block', map, '--zone', 'Z1', '--litres', '20', '--fluid', 'diesel', '--brief');
    const lines = stdout.trimEnd().split('\n');
    expect(lines).toHaveLength(5);
    expect(lines[0]).toMatch(/^Fire, or somebody hurt/);
  });

  test('block --findings plans ahead, at least expected cost', async () => {
    const block = await objectOf('block', map, '--findings', findings);
    expect(block.sources.map(({ zone }: { zone: string }) => zone)).toEqual(['Z1', 'Z2']);
    // A cover at each basin, 80 together, is cheaper than the separator's clean-up, which alone is paid for already.
    expect(block.plan.controls.length).toBeGreaterThan(0);
    expect(block.plan.totalCost).toBeLessThan(block.doNothingCost);
    expect(block.plan).toMatchObject({ waters: [], gap: 0 });
    expect((await run('block', map, '--findings', findings)).stdout).toContain('Expected total');
  });

  test('upkeep answers with the keys that programs rely on, and says what is too little to go by', async () => {
    const upkeep = await objectOf(
      'upkeep',
      'site-maps/freight-depot.geojson',
      '--findings',
      'site-maps/freight-depot.findings.json',
    );
    expect(upkeep.separators.map(({ id }: { id: string }) => id)).toEqual(['SEP-1', 'SEP-2']);
    expect(upkeep.separators[0]).toMatchObject({
      oilLitres: 14,
      oilMm: expect.closeTo(14 / (4.8 * 1.8), 9),
      sludgeMm: 45,
      state: 'fine',
      limitChanceByDays: [],
      nextVisitDays: 30,
    });
    const { stdout } = await run(
      'upkeep',
      'site-maps/freight-depot.geojson',
      '--findings',
      'site-maps/freight-depot.findings.json',
    );
    expect(stdout).toContain('too few to say when it fills');
    expect(stdout).toContain('Nobody enters the vault');
  });

  test('kits and measures answer with the keys that programs rely on', async () => {
    const kits = await objectOf('kits', 'site-maps/freight-depot.geojson', '--count', '2');
    expect(kits).toMatchObject({
      kits: [
        { at: [expect.any(Number), expect.any(Number)], spot: expect.any(String), serves: expect.any(Array) },
        { spot: expect.any(String) },
      ],
      meanMinutes: expect.any(Number),
      worstMinutes: expect.any(Number),
      gap: 0,
    });
    expect(kits.curve[1]).toEqual({ count: 2, meanMinutes: expect.closeTo(kits.meanMinutes, 9) });
    expect((await run('kits', 'site-maps/freight-depot.geojson', '--count', '2')).stdout).toContain('that is proved');
    const measures = await objectOf('measures', 'site-maps/two-bay-garage.geojson', '--budget', '500');
    expect(measures.cost).toBeLessThanOrEqual(500);
    expect(measures.chosen[0]).toMatchObject({
      measure: expect.any(String),
      at: expect.any(String),
      cost: expect.any(Number),
      litresPerYear: expect.any(Number),
    });
    expect(measures.frontier[0]).toEqual({ cost: 0, litresPerYear: 0 });
    expect((await objectOf('measures', 'site-maps/two-bay-garage.geojson', '--budget', '0')).chosen).toEqual([]);
  });

  test('text for a person leads with the answer, in the site’s units, with cautions beside a plan', async () => {
    const sources = (await run('sources', map, '--findings', findings)).stdout;
    expect(sources.split('\n')[0]).toBe('The best guess is Fuel island (Z1): 67%, anything from none to all of it.');
    expect(sources).toContain('1.32 gal');
    const block = (await run('block', map, '--zone', 'Z1', '--litres', '200')).stdout;
    expect(block).toContain('Cover CB-1.');
    expect(block).toContain('52.8 gal');
    expect(block).toContain('Never enter a vault or a manhole');
  });

  test('--release-litres, --unmapped and --seed change the answer; the same words give the same bytes', async () => {
    const ask = async (...more: string[]) =>
      (await run('sources', map, '--findings', findings, '--json', ...more)).stdout;
    expect(await ask()).toBe(await ask());
    expect(await ask('--release-litres', '50')).not.toBe(await ask());
    expect(JSON.parse(await ask('--unmapped', '0.5')).unmapped.share).toBeGreaterThan(0.2);
    expect(await ask('--seed', '2')).not.toBe(await ask());
  });

  test('--from gives each lid its walk, and lids near first; without it there is none', async () => {
    const ask = (...more: string[]) => objectOf('sources', map, '--findings', findings, ...more);
    expect((await ask()).from).toBeNull();
    // CB-1 and CB-2 lie 43 m apart, with no building on the map: 43 × 1.25 ÷ 1.2 m/s is 0.74 min.
    const minutesOf = (lids: { at: string; minutes: number }[]) =>
      Object.fromEntries(lids.map(({ at, minutes }) => [at, Math.round(minutes * 100) / 100]));
    expect(minutesOf((await ask('--from', 'CB-1')).nextLids)).toEqual({ 'CB-1': 0, 'CB-2': 0.74 });
    const { nextLids, lidPlan } = await ask('--from', 'CB-2');
    expect(minutesOf(nextLids)).toEqual({ 'CB-1': 0.74, 'CB-2': 0 });
    expect(lidPlan).toMatchObject({ at: 'CB-2', minutes: 0, ifOil: { at: 'CB-1', ifOil: null, ifClean: null } });
    expect(minutesOf([lidPlan.ifOil])).toEqual({ 'CB-1': 0.74 });
    expect((await ask('--from=-105.0001,40')).from).toEqual([-105.0001, 40]);
    const { stdout } = await run('sources', map, '--findings', findings, '--from', 'CB-2');
    expect(stdout).toContain('Lift CB-2 next: right here, oil there with a chance of');
    expect(stdout).toMatch(/NEXT LID +BITS +CHANCE OF OIL +FROM HERE/);
    expect(stdout).toMatch(/CB-1 +\d\.\d+ +\d+% +1 min walk/);
    expect(stdout).toContain('If CB-2 is oily, lift CB-1.');
    expect((await run('sources', map, '--findings', findings)).stdout).not.toContain('FROM HERE');
  });

  test('what takes no part is told in a sentence', async () => {
    const coolant = { id: 'F2', at: 'CB-1', since: '2026-03-01', seenAt: '2026-05-30', seen: 'oil', fluid: 'coolant' };
    const file = { ...JSON.parse(readFileSync(findings, 'utf8')), findings: [coolant] };
    const { stdout } = await run('sources', map, '--findings', write('coolant.json', JSON.stringify(file)));
    expect(stdout).toContain('Not counted\n  - F2: fluid: coolant mixes with water and does not float');
  });

  test('learn gives each zone its rate beside what was thought before; what is known stays known', async () => {
    const rough = write(
      'rough.geojson',
      yardText({ ...yard, zones: { ...yard.zones, Z1: { drainsTo: 'CB-1', areaM2: 4000 } } }),
    );
    const { zones } = await objectOf('learn', rough, '--findings', findings);
    expect(zones.map(({ id }: { id: string }) => id)).toEqual(['Z1', 'Z2']);
    // 5 L in a quarter is more than the default expects in a year, so the rough zone's rate rises.
    expect(zones[0].litresPerYear).toBeGreaterThan(zones[0].defaultLitresPerYear * 1.2);
    expect(zones[0].low).toBeLessThan(zones[0].litresPerYear);
    expect(zones[0].high).toBeGreaterThan(zones[0].litresPerYear);
    expect(zones[1]).toEqual({
      id: 'Z2',
      litresPerYear: expect.closeTo(4, 9),
      low: expect.closeTo(4, 9),
      high: expect.closeTo(4, 9),
      defaultLitresPerYear: 4,
    });
  });

  test('--history teaches what zones release without moving the question', async () => {
    const rough = write(
      'rough2.geojson',
      yardText({ ...yard, zones: { Z1: { drainsTo: 'CB-1', areaM2: 4000 }, Z2: { drainsTo: 'CB-2', areaM2: 4000 } } }),
    );
    const looks = [1, 2, 3, 4].map((quarter) => ({
      id: `H${quarter}`,
      at: 'CB-2',
      since: `202${quarter}-01-01`,
      seenAt: `202${quarter}-12-31`,
      seen: 'clean',
    }));
    const history = write('history.json', JSON.stringify({ format: 'oilshed-findings', version: 1, findings: looks }));
    const share = async (...more: string[]) => {
      const answer = await objectOf('sources', rough, '--findings', findings, ...more);
      expect(answer).toMatchObject({ at: 'SEP-1', finding: 'F1' });
      return answer.zones.find(({ id }: { id: string }) => id === 'Z1').share;
    };
    expect(await share('--history', history)).toBeGreaterThan((await share()) + 0.05);
    const same = await run('sources', rough, '--findings', findings, '--history', findings);
    expect([same.status, same.lines.length]).toEqual([1, 1]);
  });

  test('gasoline sends nobody anywhere', async () => {
    const { stdout } = await run('block', map, '--zone', 'Z1', '--litres', '20', '--fluid', 'gasoline');
    expect(stdout).toContain('Gasoline: get everyone out.');
    expect(stdout).not.toMatch(/then block|stop the source/i);
    const unknown = await run('block', map, '--zone', 'Z1', '--litres', '20', '--fluid', 'unknown');
    expect(unknown.stdout).toContain('It may be gasoline: get everyone out.');
    expect(
      (await objectOf('block', map, '--zone', 'Z1', '--litres', '20', '--fluid', 'gasoline')).plan.controls,
    ).toEqual([]);
  });

  test.each([
    ['no verb', []],
    ['an unknown verb', ['chek', map]],
    ['an unknown option', ['check', map, '--loud']],
    ['a missing map', ['check']],
    ['a missing option', ['shed', map]],
    ['a number that is none', ['block', map, '--zone', 'Z1', '--litres', 'many']],
    ['no litres', ['block', map, '--zone', 'Z1', '--litres', '0']],
    ['absurd litres', ['block', map, '--zone', 'Z1', '--litres', '1e9']],
    ['neither zone nor point', ['block', map, '--litres', '5']],
    ['both zone and point', ['block', map, '--litres', '5', '--zone', 'Z1', '--point=1,2']],
    ['a point that is none', ['block', map, '--litres', '5', '--point', '400,2']],
    ['a fluid that is none', ['block', map, '--litres', '5', '--zone', 'Z1', '--fluid', 'milk']],
    ['rain that is none', ['spill', map, '--litres', '5', '--zone', 'Z1', '--rain', '-3']],
    ['a spill that takes no time', ['spill', map, '--litres', '5', '--zone', 'Z1', '--over', '0']],
    ['a spill without litres', ['spill', map, '--zone', 'Z1']],
    ['kits without a number', ['kits', map]],
    ['half a kit', ['kits', map, '--count', '1.5']],
    ['a budget below nothing', ['measures', map, '--budget', '-1']],
    ['findings and a fluid’s litres without a place', ['block', map, '--findings', findings, '--litres', '5']],
    ['findings and a zone without litres', ['block', map, '--findings', findings, '--zone', 'Z1']],
    ['minutes before the beginning', ['spill', map, '--litres', '5', '--zone', 'Z1', '--ago=-5']],
    ['over minutes and still running', ['spill', map, '--litres', '5', '--zone', 'Z1', '--over', '5', '--still']],
    ['an end of what does not run', ['spill', map, '--litres', '5', '--zone', 'Z1', '--until', '5']],
    ['hands twice over', ['block', map, '--litres', '5', '--zone', 'Z1', '--hands', 'here', '--crew', 'CB-1']],
    ['a hand twice', ['block', map, '--litres', '5', '--zone', 'Z1', '--hands', 'here,here']],
    ['no hands', ['block', map, '--litres', '5', '--zone', 'Z1', '--hands', ';']],
    ['a day that no month has', ['block', map, '--litres', '5', '--zone', 'Z1', '--on', '2026-02-30']],
    ['five lines as JSON', ['block', map, '--litres', '5', '--zone', 'Z1', '--brief', '--json']],
    ['a release beyond any yard', ['sources', map, '--findings', findings, '--release-litres', '1e-320']],
    ['a place to start from that is none', ['sources', map, '--findings', findings, '--from', '400,2']],
    ['half a place to start from', ['sources', map, '--findings', findings, '--from=-105,']],
    ['a release of nothing', ['sources', map, '--findings', findings, '--release-litres', '0']],
  ])('%s: exit status 2 and one line', async (_, words) => {
    const { status, stdout, lines } = await run(...words);
    expect([status, stdout]).toEqual([2, '']);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatch(/^oilshed: .*see oilshed( [a-z]+)? --help$/);
  });

  test('where a verb is missing, those that there are stand in the line: of the program, or of log and people alone', async () => {
    expect((await run()).lines).toEqual([
      expect.stringMatching(/^oilshed: no verb given .* check, shed, .*; see oilshed --help$/),
    ]);
    const [ofLog, ofPeople] = [(await run('log')).lines.join(), (await run('people')).lines.join()];
    expect(ofLog).toMatch(/ add, list, verify, .*; see oilshed log --help$/);
    expect(ofPeople).toMatch(/ add, .*list, .*; see oilshed people --help$/);
    for (const line of [ofLog, ofPeople]) expect(line).not.toContain('check');
  });

  test('-V and --version print the version of the package', async () => {
    const { version } = JSON.parse(readFileSync('package.json', 'utf8'));
    for (const flag of ['-V', '--version'])
      expect(await run(flag)).toMatchObject({ status: 0, stdout: `${version}\n`, stderr: '' });
  });

  test.each([
    ['a file that is not there', ['check', join(folder, 'none.geojson')]],
    ['a folder', ['check', folder]],
    ['a structure that is not there', ['shed', map, '--at', 'CB-77']],
    ['a zone where a structure is asked for', ['shed', map, '--at', 'Z1']],
    ['a zone that is not there', ['block', map, '--zone', 'Z77', '--litres', '5']],
    ['more kits than spots', ['kits', 'site-maps/two-bay-garage.geojson', '--count', '50']],
    ['a crew that is nowhere', ['block', map, '--zone', 'Z1', '--litres', '5', '--crew', 'CREW-9']],
    ['a spill on a zone that is not there', ['spill', map, '--zone', 'Z77', '--litres', '5']],
    ['findings that are none', ['sources', map, '--findings', map]],
    ['a start at nothing on the map', ['sources', map, '--findings', findings, '--from', 'KIT-77']],
    ['a start along a pipe', ['sources', map, '--findings', findings, '--from', 'P1']],
    ['a start in another country', ['sources', map, '--findings', findings, '--from', '8.5,47.3']],
    ['a place nobody drains to', ['sources', map, '--findings', findings, '--at', 'CB-77']],
  ])('%s: exit status 1 and one line with a cure', async (_, words) => {
    const { status, stdout, lines } = await run(...words);
    expect([status, stdout]).toEqual([1, '']);
    expect(lines).toHaveLength(1);
    expect(lines[0]).not.toMatch(/\bat .*:\d+:\d+/);
  });

  test.each([
    ['a zone', 'Z1', ['spill', map, '--zone', 'z1', '--litres', '5']],
    ['a zone to block', 'Z1', ['block', map, '--zone', 'z-1', '--litres', '5']],
    ['a structure', 'SEP-1', ['shed', map, '--at', 'sep-1']],
    ['a structure of sources', 'SEP-1', ['sources', map, '--findings', findings, '--at', 'Sep1']],
    ['where one stands', 'CB-1', ['sources', map, '--findings', findings, '--from', 'cb-1']],
    [
      'a crew post',
      'CREW-1',
      ['block', 'site-maps/freight-depot.geojson', '--zone', 'Z4', '--litres', '5', '--crew', 'crew-1'],
    ],
    [
      'a place of a finding',
      'SEP-1',
      ['sources', map, '--findings', write('low.json', readFileSync(findings, 'utf8').replace('SEP-1', 'sep-1'))],
    ],
  ])('%s written without its capitals or signs is guessed at: %s', async (_, id, words) => {
    const { status, stdout, lines } = await run(...words);
    expect([status, stdout]).toEqual([1, '']);
    expect(lines).toEqual([expect.stringMatching(new RegExp(`; write ${id} if that is what was meant$`))]);
  });

  test('names from a file cannot steer the terminal', async () => {
    const hostile = write('hostile.geojson', yardText({ ...yard, site: { name: 'A\u001b[31mB\u0007\nC\u202eD' } }));
    const { stdout } = await run('check', hostile);
    expect(stdout).toContain('A\\u001b[31mB\\u0007\\u000aC\\u202eD: sound, with 1 warning.');
  });

  test.each(['check', 'shed', 'sources', 'learn', 'spill', 'block', 'kits', 'measures', 'upkeep', 'import', 'serve'])(
    '%s --help shows an example',
    async (verb) => {
      const { status, stdout } = await run(verb, '--help');
      expect(status).toBe(0);
      expect(stdout).toContain(`Example:\n  oilshed ${verb} `);
    },
  );
});

describe('the demo yards', () => {
  const names = readdirSync('site-maps')
    .filter((name) => name.endsWith('.geojson'))
    .map((name) => name.replace('.geojson', ''));

  test('there are three, each with findings', () => {
    expect(names).toEqual(['freight-depot', 'gravel-haul-yard', 'two-bay-garage']);
  });

  test.each(names)('%s answers every verb', async (name) => {
    const [yardFile, found] = [`site-maps/${name}.geojson`, `site-maps/${name}.findings.json`];
    const report = await objectOf('check', yardFile);
    expect(report.problems.filter(({ severity }: { severity: string }) => severity === 'error')).toEqual([]);
    const sources = await objectOf('sources', yardFile, '--findings', found);
    const total = sources.zones.reduce(
      (sum: number, { share }: { share: number }) => sum + share,
      sources.unmapped.share,
    );
    expect(total).toBeCloseTo(1, 9);
    const oilshedOf = (await objectOf('shed', yardFile, '--at', sources.at)).zones.map(({ id }: { id: string }) => id);
    expect(sources.zones.map(({ id }: { id: string }) => id).sort()).toEqual(oilshedOf.sort());
    for (const { id } of sources.zones) {
      const block = await objectOf('block', yardFile, '--zone', id, '--litres', '100');
      // Litres come before money, so a plan may cost more than doing nothing; never does it let more out.
      expect(block.plan.litres.toWater).toBeLessThanOrEqual(block.doNothing.litres.toWater + 1e-6);
      for (const water of block.plan.waters) expect(block.doNothing.waters).toContain(water);
      const spill = await objectOf('spill', yardFile, '--zone', id, '--litres', '100');
      expect(spill.inlets).toEqual(block.inlets);
    }
  });

  test('the freight depot has two separators, a zone that goes round them and a loop at its lift', async () => {
    const { counts, separators, unprotected, loops } = await objectOf('check', 'site-maps/freight-depot.geojson');
    expect(separators).toHaveLength(2);
    expect(unprotected).toHaveLength(1);
    expect(loops).toHaveLength(1);
    expect(counts.zones).toBeGreaterThanOrEqual(12);
    expect(counts.zones).toBeLessThanOrEqual(16);
  });
});

const richmond = '../shared/data/vermont-richmond';
const hasRichmond = existsSync(richmond);
if (!hasRichmond) console.warn(`skipped: the Richmond network is not at ${richmond}`);

describe.skipIf(!hasRichmond)('the storm drains of Richmond, Vermont (public records, see its README)', () => {
  const layers = [`${richmond}/point-features.geojson`, `${richmond}/linear-features.geojson`];
  const rules = [
    '--keep',
    'SystemType=Stormwater',
    '--kind',
    'Type=2:catch-basin,8:manhole,9:outfall,2:pipe,4:swale',
    '--zones',
  ];
  const out = join(folder, 'richmond.geojson');

  test('go through import, check, shed, sources at a discharge point, and block', async () => {
    const imported = await objectOf('import', ...layers, ...rules, '--out', out);
    // 108 catch basins, 216 upper mouths and 254 discharge points among the storm points, all of them taken.
    expect(imported.counts).toMatchObject({ read: 747 + 1021, zones: 108 });
    expect(imported.counts.taken + imported.counts.leftOut).toBe(imported.counts.read);
    const report = await objectOf('check', out);
    expect(report.problems.filter(({ severity }: { severity: string }) => severity === 'error')).toEqual([]);
    expect(report.loops).toEqual([]);
    expect(report.counts['catch-basin']).toBe(108);

    const drainage = compileDrainage(readSiteMap(readFileSync(out, 'utf8')).map);
    const zonesAt = (id: string) => oilshed(drainage, id).map(({ zone }) => zone.id);
    const [at] = drainage.map.structures
      .filter(({ kind }) => kind === 'outfall')
      .map(({ id }) => id)
      .sort((a, b) => zonesAt(b).length - zonesAt(a).length);
    const widest = await objectOf('shed', out, '--at', at);
    expect(widest.zones.length).toBeGreaterThan(10);
    expect(widest.zones.map(({ id }: { id: string }) => id)).toEqual(zonesAt(at));
    const found = write(
      'richmond.findings.json',
      JSON.stringify({
        format: 'oilshed-findings',
        version: 1,
        findings: [{ id: 'F1', at: widest.at, since: '2026-03-01', seenAt: '2026-05-30', amount: { litres: 12 } }],
      }),
    );
    const sources = await objectOf('sources', out, '--findings', found);
    expect(sources.zones.map(({ id }: { id: string }) => id).sort()).toEqual(
      widest.zones.map(({ id }: { id: string }) => id).sort(),
    );
    const block = await objectOf('block', out, '--zone', sources.zones[0].id, '--litres', '50');
    expect(block.plan.controls.length).toBeGreaterThan(0);
    expect(block.doNothing.waters).toContain(widest.at);
    expect(block.plan.waters).toEqual([]);
  });
});
