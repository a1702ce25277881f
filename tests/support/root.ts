import { fileURLToPath } from 'node:url';

/** The program's own folder, without a slash at its end. */
export const root = fileURLToPath(new URL('../..', import.meta.url)).replace(/[\\/]$/, '');
