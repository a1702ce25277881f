import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-progress-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const map = 'site-maps/two-bay-garage.geojson';
const cli = `"${process.execPath}" dist/cli/oilshed.js`;
const { OILSHED_PROGRESS: _, ...telling } = process.env;
const shell = (command: string, env: NodeJS.ProcessEnv = telling) =>
  spawnSync('sh', ['-c', command], { encoding: 'utf8', env });
/** A check that has its map only after so many seconds. */
const slowCheck = (seconds: number, ...flags: string[]) =>
  `(sleep ${seconds}; cat ${map}) | ${cli} check - ${flags.join(' ')}`;

/** A check that has its map once something was told of it on standard error, however long the program takes to begin. */
async function checkOnceTold(...flags: string[]) {
  const child = spawn(process.execPath, ['dist/cli/oilshed.js', 'check', '-', ...flags], { env: telling });
  const said = { stdout: '', stderr: '' };
  child.stdout.setEncoding('utf8').on('data', (part: string) => {
    said.stdout += part;
  });
  child.stderr.setEncoding('utf8').on('data', (part: string) => {
    said.stderr += part;
    child.stdin.end(readFileSync(map));
  });
  await once(child, 'close');
  return said;
}

describe.skipIf(process.platform === 'win32')('progress and notes, on standard error', () => {
  test('work of over a second is told of in a line, beside --json too; the answer is as it was', async () => {
    const { stdout, stderr } = await checkOnceTold('--json');
    expect(stderr).toMatch(/^oilshed check: at work, [1-9] s\n$/);
    expect(stdout).toBe(shell(`${cli} check ${map} --json`).stdout);
  });

  test('--quiet leaves it out, and so does OILSHED_PROGRESS=no', () => {
    expect(shell(slowCheck(2, '--quiet', '--json')).stderr).toBe('');
    expect(shell(slowCheck(2, '--json'), { ...telling, OILSHED_PROGRESS: 'no' }).stderr).toBe('');
  });

  const hasTerminal = shell('command -v script').status === 0;
  if (!hasTerminal) console.warn('skipped: no program `script` to make a terminal with');
  test.skipIf(!hasTerminal)('on a terminal the line is drawn anew and taken away before the answer', () => {
    const { stdout } = shell(`script -qec '${slowCheck(4)}' /dev/null`);
    const drawn = stdout.split('\r\u001b[K');
    expect(drawn.pop()).toContain('Pedlar Corner Garage');
    expect(drawn.filter((line) => /^oilshed check: at work, \d s$/.test(line)).length).toBeGreaterThan(3);
  });

  test('--quiet leaves out notes, never errors', () => {
    const found = readFileSync('site-maps/two-bay-garage.findings.json', 'utf8');
    const twice = join(folder, 'twice.json');
    writeFileSync(twice, found.replace('"id":', '"note": "a", "note": "b", "id":'));
    const ask = (flags: string) => shell(`${cli} sources ${map} --findings ${twice} ${flags}`);
    expect(ask('').stderr).toContain('note');
    expect(ask('--quiet')).toMatchObject({ status: 0, stderr: '' });
    const broken = shell(`echo '{' | ${cli} check - --quiet`);
    expect([broken.status, broken.stderr]).toEqual([1, expect.stringContaining('it is not JSON')]);
  });
});
