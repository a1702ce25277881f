// Whether `dist` was built from the source as it stands: it keeps a hash of everything that goes into it.
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const stamp = join(root, 'dist', '.stamp');
const BUILT_FROM = [
  'src',
  '.config',
  '.scripts/build.mjs',
  '.scripts/catalogue.mjs',
  'site-maps',
  'package.json',
  'package-lock.json',
  'tsconfig.json',
];

function filesIn(path) {
  const full = join(root, path);
  if (!existsSync(full)) return [];
  if (!statSync(full).isDirectory()) return [path];
  return readdirSync(full)
    .sort()
    .flatMap((name) => filesIn(join(path, name)));
}

function sourceHash() {
  const hash = createHash('sha256');
  for (const file of BUILT_FROM.flatMap(filesIn)) hash.update(file).update(readFileSync(join(root, file)));
  return hash.digest('hex');
}

export const isBuilt = () => existsSync(stamp) && readFileSync(stamp, 'utf8') === sourceHash();

export function markBuilt() {
  mkdirSync(dirname(stamp), { recursive: true });
  writeFileSync(stamp, sourceHash());
}
