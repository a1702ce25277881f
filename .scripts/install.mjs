// Runs before `npm start` and `npm test` with nothing but Node present: installs what the lock file asks for if that
// has not been done yet, and builds what is older than its source. Node built-ins only.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const lockStamp = join(root, 'node_modules', '.oilshed-lock');
const buildStamp = join(root, 'dist', '.stamp');
const BUILT_FROM = ['src', '.config', 'package.json', 'package-lock.json', 'tsconfig.json'];

const read = (file) => (existsSync(file) ? readFileSync(file, 'utf8') : '');
const hashOf = (text) => createHash('sha256').update(text).digest('hex');

function* filesIn(path) {
  const full = join(root, path);
  if (!existsSync(full)) return;
  if (!path.includes('.') || path.startsWith('.config')) {
    let entries;
    try {
      entries = readdirSync(full, { withFileTypes: true });
    } catch {
      yield path;
      return;
    }
    for (const entry of entries.sort((a, b) => (a.name < b.name ? -1 : 1))) {
      const inner = join(path, entry.name);
      if (entry.isDirectory()) yield* filesIn(inner);
      else yield inner;
    }
  } else yield path;
}

/** A hash of everything that goes into `dist`. */
export function sourceHash() {
  const hash = createHash('sha256');
  for (const path of BUILT_FROM)
    for (const file of filesIn(path)) hash.update(file).update(readFileSync(join(root, file)));
  return hash.digest('hex');
}

export function markBuilt() {
  mkdirSync(dirname(buildStamp), { recursive: true });
  writeFileSync(buildStamp, sourceHash());
}

/** npm's own words go to standard error, so that standard output stays the program's. */
function npm(...words) {
  const npmPath = process.env.npm_execpath;
  const [command, first] = npmPath ? [process.execPath, [npmPath]] : ['npm', []];
  const { status } = spawnSync(command, [...first, ...words], { cwd: root, stdio: ['ignore', 2, 2] });
  if (status !== 0) {
    console.error(`npm ${words.join(' ')} did not succeed; its own words stand above.`);
    process.exit(1);
  }
}

function bringUpToDate() {
  const lockHash = hashOf(read(join(root, 'package-lock.json')));
  if (read(lockStamp) !== lockHash) {
    console.error('Installing what Oilshed needs (once, and after an update) ...');
    npm('ci', '--no-audit', '--no-fund');
    writeFileSync(lockStamp, lockHash);
  }
  if (read(buildStamp) !== sourceHash()) {
    console.error('Building ...');
    npm('run', '--silent', 'build');
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) bringUpToDate();
