// Builds the command line program (dist/cli) and the web app (dist/web). `npm ci` runs it through `prepare`.
import { chmodSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';
import { markBuilt } from './install.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
process.chdir(root);
rmSync('dist', { recursive: true, force: true });
for (const configFile of ['.config/cli.ts', '.config/web.ts']) await build({ configFile, logLevel: 'warn' });
chmodSync('dist/cli/oilshed.js', 0o755);
markBuilt();
