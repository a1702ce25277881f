// Builds the command line program (dist/cli), the web app (dist/web) and the rooms that other programs import (dist/lib).
import { spawnSync } from 'node:child_process';
import { chmodSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { markBuilt, root } from './built.mjs';
import { compileOrStop } from './catalogue.mjs';

process.chdir(root);
compileOrStop();
const { build } = await import('vite');
rmSync('dist', { recursive: true, force: true });
for (const configFile of ['.config/cli.ts', '.config/web.ts']) await build({ configFile, logLevel: 'warn' });
chmodSync('dist/cli/oilshed.js', 0o755);
const tsc = join('node_modules', 'typescript', 'bin', 'tsc');
const { status } = spawnSync(process.execPath, [tsc, '-p', '.config/lib.json'], { stdio: ['ignore', 2, 2] });
if (status !== 0) process.exit(1);
markBuilt();
