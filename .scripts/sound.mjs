// Whether `node_modules` holds what the lock file asks for, for this platform, and whether its binary parts load in this
// Node: told from what is there, whoever put it there (npm start, npm ci, a copy from another machine).
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { root } from './built.mjs';

/** The packages with a binary part that the program itself needs. */
const BINARY = ['@photostructure/sqlite', '@node-rs/argon2'];

const packagesOf = (file) => (existsSync(file) ? JSON.parse(readFileSync(file, 'utf8')).packages : {});

/** Whether a word is among those a package admits, such as `["linux", "!aix"]`, as npm reads them. */
const admits = (words, word) =>
  !words || (!words.includes(`!${word}`) && (words.includes(word) || words.every((each) => each.startsWith('!'))));

function libc() {
  if (process.platform !== 'linux') return undefined;
  // Looking up the names of open connections may take seconds.
  process.report.excludeNetwork = true;
  return process.report.getReport().header.glibcVersionRuntime ? 'glibc' : 'musl';
}

/**
 * Packages of the lock file that are missing, or of another version, in the node_modules of a folder. `withDev` counts those
 * that only building and tests need. npm writes what it installed into a lock file of its own in node_modules.
 */
export function missingPackages({ withDev, folder = root }) {
  const wanted = packagesOf(join(root, 'package-lock.json'));
  const there = packagesOf(join(folder, 'node_modules', '.package-lock.json'));
  const ownLibc = libc();
  return (
    Object.entries(wanted)
      .filter(([path, { dev }]) => path !== '' && (withDev || !dev))
      // An optional package of no platform belongs to one of some platform, and comes and goes with that.
      .filter(([, { optional, os, cpu }]) => !optional || os || cpu)
      .filter(([, { os, cpu }]) => admits(os, process.platform) && admits(cpu, process.arch))
      .filter(([, { libc: libcs }]) => !libcs || !ownLibc || admits(libcs, ownLibc))
      .filter(([path, { version, integrity }]) => {
        const installed = there[path];
        const isSame = installed?.version === version && installed.integrity === integrity;
        return !isSame || !existsSync(join(folder, path, 'package.json'));
      })
      .map(([path]) => path.replace(/^node_modules\//, ''))
  );
}

/** Why a binary part does not load in this Node; null where all do. In a process of its own, which it may bring down. */
export function bindingFault(folder = root) {
  const script = `for (const name of ${JSON.stringify(BINARY)}) require(name);`;
  const { status, signal, stderr } = spawnSync(process.execPath, ['-e', script], { cwd: folder, encoding: 'utf8' });
  if (status === 0) return null;
  const [line] = /^\w*Error.*$/m.exec(stderr) ?? [stderr.trim().split('\n')[0]];
  return line || `it ended with ${signal ?? status}`;
}
