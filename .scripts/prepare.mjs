// npm runs this after `npm ci` in a clone and before packing, never where the package is installed. Without the packages
// that building takes (`--omit=dev`) it leaves that to `npm start`.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { isBuilt, root } from './built.mjs';

if (!existsSync(join(root, 'node_modules', 'vite'))) console.error('Not built yet: npm start fetches what that takes.');
else if (!isBuilt()) await import('./build.mjs');
