import { spawnSync } from 'node:child_process';
import { describe, expect, test } from 'vitest';

const map = 'site-maps/freight-depot.geojson';
const run = (...words: string[]) =>
  spawnSync(process.execPath, ['dist/cli/oilshed.js', ...words], { encoding: 'utf8' });

/** What the last of the words may be: the values, without what is said of them. */
function offered(...words: string[]): string[] {
  const { status, stdout, stderr } = run('complete', '--', ...words);
  expect([status, stderr]).toEqual([0, '']);
  const lines = stdout.trimEnd().split('\n');
  // The last line tells the shell how to go on, and not to offer files of its own.
  expect(lines.pop()).toBe(':4');
  return lines.map((line) => line.split('\t')[0]);
}

describe('completion', () => {
  test('verbs, and verbs of a verb', () => {
    expect(offered('')).toEqual(expect.arrayContaining(['check', 'sources', 'log', 'people', 'completion']));
    expect(offered('')).not.toContain('complete');
    expect(offered('sp')).toEqual(['spill']);
    expect(offered('log', 've')).toEqual(['verify']);
  });

  test('options, and what may stand behind them', () => {
    expect(offered('spill', map, '--fl')).toEqual(['--fluid']);
    expect(offered('spill', map, '--fluid', 'die')).toEqual(['diesel']);
    expect(offered('cards', map, '--paper', '')).toEqual(['a4', 'letter']);
    expect(offered('people', 'add', 'M. Lund', '--role', '')).toEqual(['viewer', 'crew', 'manager']);
    expect(offered('spill', map, '--litres', '')).toEqual([]);
  });

  test('files, and ids of the map that was named before', () => {
    expect(offered('check', 'site-maps/freight')).toContain(map);
    expect(offered('shed', map, '--gr')).toEqual(['--graph']);
    expect(offered('shed', map, '--graph', 'site-maps/freight')).toContain(map);
    // A folder alone goes on with what is in it.
    expect(offered('check', 'site-m')).toContain(map);
    expect(offered('sources', map, '--findings', 'site-maps/two')).toContain('site-maps/two-bay-garage.findings.json');
    expect(offered('spill', map, '--zone', 'Z1')).toEqual(expect.arrayContaining(['Z1', 'Z10']));
    expect(offered('shed', map, '--at', 'SEP')).toEqual(['SEP-1', 'SEP-2']);
    expect(offered('block', map, '--crew', 'CREW')).toContain('CREW-1');
    expect(offered('spill', 'no-such.geojson', '--zone', '')).toEqual([]);
    expect(offered('check', 'no-such-folder/')).toEqual([]);
  });

  test.each(['bash', 'zsh', 'fish', 'powershell'])('%s gets lines that call the program', (shell) => {
    const { status, stdout } = run('completion', shell);
    expect(status).toBe(0);
    expect(stdout).toMatch(/oilshed'? complete '?--/);
  });

  test('another shell is refused, with those there are', () => {
    const { status, stderr } = run('completion', 'tcsh');
    expect(status).toBe(2);
    expect(stderr).toContain('write one of bash, zsh, fish, powershell');
  });

  const hasBash = spawnSync('bash', ['-c', 'true']).status === 0;
  if (!hasBash) console.warn('skipped: no bash to complete words in');
  test.skipIf(!hasBash)('bash completes with them', () => {
    // What the package bash-completion brings, and what bash has only while a key is pressed.
    const words = `_get_comp_words_by_ref() { words=(oilshed spill ${map} --zone Z1); cur=Z1; }; compopt() { :; }`;
    const program = `oilshed() { "${process.execPath}" dist/cli/oilshed.js "$@"; }`;
    const script = `${program}; ${words}; source <(oilshed completion bash); __oilshed_complete; echo "\${COMPREPLY[*]}"`;
    const { stdout, stderr } = spawnSync('bash', ['--norc', '-c', script], { encoding: 'utf8' });
    expect([stdout.trim().split(' '), stderr]).toEqual([expect.arrayContaining(['Z1', 'Z10']), '']);
  });
});
