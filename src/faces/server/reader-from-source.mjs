// Where the server runs from its source, as in tests, its threads have to be told how to load TypeScript.
import { register } from 'tsx/esm/api';

register();
await import('./reader.ts');
