import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:https';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, describe, expect, test } from 'vitest';
import { runVerb } from '../../support/cli.ts';
import { MADE_PEOPLE } from './made-people.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-serve-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const here = (name: string) => join(folder, name);

const cli = join(process.cwd(), 'dist', 'cli', 'oilshed.js');
const { DATABASE_URL: _, OILSHED_DATA: __, ...others } = process.env;
const env = { ...others, NO_COLOR: '1' };

const run = (words: readonly string[], input = '') => runVerb(words, { cwd: folder, input });
const { manager, crew } = MADE_PEOPLE;
const people = (words: string[], input?: string) => run(['people', ...words], input);

describe('oilshed people', () => {
  test('adds, lists, gives new passwords and removes; the password is a line of standard input', async () => {
    const data = ['--data', 'first'];
    const first = await people(['add', crew.name, '--role', 'crew', ...data], `${crew.password}\nnot this line\n`);
    expect(first).toMatchObject({ status: 0, stderr: '' });
    expect(first.stdout).toBe(
      'J. Ortega may sign in, as crew.\nThere is no manager yet: add one with --role manager.\n',
    );
    const added = await people(
      ['add', manager.name, '--role', 'manager', '--json', ...data],
      `${manager.password}\r\n`,
    );
    expect(JSON.parse(added.stdout)).toEqual({ name: 'M. Lund', role: 'manager' });
    expect(JSON.parse((await people(['list', '--json', ...data])).stdout)).toEqual({
      people: [
        { name: 'J. Ortega', role: 'crew', added: expect.stringMatching(/^\d{4}-/) },
        { name: 'M. Lund', role: 'manager', added: expect.stringMatching(/^\d{4}-/) },
      ],
    });
    expect((await people(['list', ...data])).stdout).toMatch(
      /2 may sign in\.\n\n {2}NAME +ROLE +ADDED\n {2}J\. Ortega +crew /,
    );
    expect((await people(['password', 'm. lund', ...data], 'an entirely new one')).stdout).toContain(
      'M. Lund has a new password',
    );
    expect(await people(['remove', 'M. Lund', ...data])).toMatchObject({
      status: 1,
      stdout: '',
      stderr:
        'first: M. Lund: there is no other manager; make somebody else a manager first, or remove everybody else first\n',
    });
    expect((await people(['remove', 'J. Ortega', ...data])).status).toBe(0);
    expect(JSON.parse((await people(['remove', 'M. Lund', '--json', ...data])).stdout)).toEqual({
      name: 'M. Lund',
      role: 'manager',
    });
    expect((await people(['list', ...data])).stdout).toBe('Nobody signs in: the log book is for this machine alone.\n');
  });

  test('says what is wrong, and never the password', async () => {
    const data = ['--data', 'none'];
    for (const [words, status, said, input] of [
      [['add', 'X', '--role', 'boss'], 2, '--role is "boss"; write one of viewer, crew, manager', 'a good long one'],
      [['add', 'X'], 2, '--role <role> is missing; write it too', ''],
      [['add', 'X', '--role', 'crew'], 1, 'password: standard input has none', ''],
      [['list'], 1, 'there is no log book in this folder', ''],
      [['remove', 'X'], 1, 'there is no log book in this folder', ''],
      [['password', 'X'], 1, 'there is no log book in this folder', 'a good long one'],
      [[], 2, 'no verb given', ''],
    ] as const) {
      const result = await people([...words, ...(words.length > 0 ? data : [])], input);
      expect([result.status, result.stdout], words.join(' ')).toEqual([status, '']);
      expect(result.stderr).toContain(said);
    }
    expect(existsSync(here('none'))).toBe(false);
    const short = await people(['add', 'two\nlines', '--role', 'crew', ...data], 'sh0rt');
    expect(short.stderr.split('\n')).toHaveLength(3);
    expect(short.stderr).toContain('password: it has 5 characters; take one of 12 to 200 characters');
    expect(short.stderr).not.toContain('sh0rt');
  });
});

describe('oilshed serve', () => {
  const started: ChildProcess[] = [];
  afterEach(() => {
    for (const server of started.splice(0)) server.kill('SIGKILL');
  });

  /** Starts the server; gives what it says, up to how to stop it, and what ends it. */
  async function serve(...words: string[]) {
    const server = spawn(process.execPath, [cli, 'serve', ...words], {
      env,
      cwd: folder,
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    started.push(server);
    const ended = new Promise<number | null>((end) => server.once('exit', end));
    const said = await new Promise<string>((resolve) => {
      let text = '';
      server.stdout.on('data', (part) => {
        text += part;
        if (text.includes('Stop it')) resolve(text);
      });
    });
    const stop = () => {
      server.kill('SIGTERM');
      return ended;
    };
    return { said, address: String(/at (\S+)\n/.exec(said)?.[1]), stop };
  }

  // An address of this machine alone that does not look like it.
  const ELSEWHERE = '127.1';

  test('answers others once there is a manager, says what plain http means, and stops under open streams', async () => {
    const words = ['--host', ELSEWHERE, '--data', 'open'];
    const refused = () => run(['serve', ...words]);
    expect(await refused()).toMatchObject({ status: 2, stdout: '' });
    expect(existsSync(here('open'))).toBe(false);
    await people(['add', crew.name, '--role', 'crew', '--data', 'open'], crew.password);
    expect((await refused()).stderr).toMatch(
      /^oilshed: others can reach 127\.1, .*oilshed people add NAME --role manager; see .*\n$/,
    );
    await people(['add', manager.name, '--role', 'manager', '--data', 'open'], manager.password);
    const { said, address, stop } = await serve(...words);
    expect(said).toContain('This is plain http: passwords can be read on the way');
    expect((await fetch(`${address}/api/entries`)).status).toBe(401);
    const session = await fetch(`${address}/api/session`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(crew),
    });
    const cookie = String(session.headers.get('set-cookie')).split(';')[0];
    expect(session.headers.get('set-cookie')).not.toContain('Secure');
    expect((await fetch(`${address}/api/entries`, { headers: { cookie } })).status).toBe(200);
    const stream = await fetch(`${address}/api/events?site=tarn-lane`, { headers: { cookie } });
    expect(stream.status).toBe(200);
    expect(await stop()).toBe(0);
  });

  test('behind a proxy takes a manager too, and is told of the proxy by address or network alone', async () => {
    for (const word of [
      'proxy.example',
      'loopback',
      '',
      '10.0.0.0/0',
      '10.0.0.0/33',
      '10.0.0.5/',
      '::/0',
      'fe80::1%eth0',
      '10.0.0.5;x',
    ])
      expect(await run(['serve', '--behind', word, '--data', 'behind']), word).toMatchObject({
        status: 2,
        stderr: expect.stringContaining('write the address of the proxy, or its network, such as 10.0.0.5'),
      });
    expect(await run(['serve', '--behind', '10.0.0.5', '--data', 'behind'])).toMatchObject({
      status: 2,
      stderr: expect.stringMatching(/^oilshed: others can reach 127\.0\.0\.1 through 10\.0\.0\.5, .*people add/),
    });
    expect(existsSync(here('behind'))).toBe(false);
    const alone = await serve('--data', 'behind');
    expect(alone.said).toContain('Nobody signs in yet: a relay on this machine that hides itself');
    expect(await alone.stop()).toBe(0);
    await people(['add', manager.name, '--role', 'manager', '--data', 'behind'], manager.password);
    const { said, address, stop } = await serve('--behind', '10.0.0.5, 2001:db8::/64', '--data', 'behind');
    expect(said).not.toContain('Nobody signs in');
    expect((await fetch(`${address}/api/entries`)).status).toBe(401);
    await people(['remove', manager.name, '--data', 'behind']);
    expect((await fetch(`${address}/api/entries`)).status).toBe(401);
    expect(await stop()).toBe(0);
  });

  test.skipIf(spawnSync('openssl', ['version']).status !== 0)(
    'speaks https with a certificate and its key',
    async () => {
      const made = spawnSync(
        'openssl',
        'req -x509 -newkey rsa:2048 -nodes -keyout key.pem -out cert.pem -days 2 -subj /CN=yard.example'.split(' '),
        { cwd: folder },
      );
      expect(made.status).toBe(0);
      await people(['add', manager.name, '--role', 'manager', '--data', 'safe'], manager.password);
      const { said, address, stop } = await serve(
        '--host',
        ELSEWHERE,
        '--data',
        'safe',
        '--cert',
        'cert.pem',
        '--key',
        'key.pem',
      );
      expect(address).toMatch(/^https:/);
      expect(said).not.toContain('plain http');
      const cookies = await new Promise<string[] | undefined>((resolve, reject) => {
        const post = request(
          `${address}/api/session`,
          {
            method: 'POST',
            headers: { 'content-type': 'application/json' },
            ca: readFileSync(here('cert.pem')),
            checkServerIdentity: () => undefined,
          },
          (reply) => resolve(reply.headers['set-cookie']),
        );
        post.on('error', reject);
        post.end(JSON.stringify(manager));
      });
      expect(cookies?.[0]).toMatch(/; HttpOnly; Secure; SameSite=Strict$/);
      expect(await stop()).toBe(0);

      writeFileSync(here('bad.pem'), 'no certificate');
      for (const [words, status, said] of [
        [['--cert', 'cert.pem'], 2, 'https takes both --cert FILE and --key FILE'],
        [['--cert', 'none.pem', '--key', 'key.pem'], 1, 'none.pem: there is no such file'],
        [['--cert', 'bad.pem', '--key', 'key.pem'], 1, 'bad.pem: it is no certificate that goes with key.pem'],
      ] as const) {
        const result = await run(['serve', '--data', 'not-made', ...words]);
        expect([result.status, result.stdout]).toEqual([status, '']);
        expect(result.stderr).toContain(said);
      }
      expect(readdirSync(folder)).not.toContain('not-made');
    },
  );
});
