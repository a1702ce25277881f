import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { jsonSchemas } from '../support/schemas.ts';

test('the JSON Schemas in docs/ are those of the code (npm run schema writes them)', () => {
  for (const [file, text] of Object.entries(jsonSchemas())) expect(readFileSync(file, 'utf8'), file).toBe(text);
});
