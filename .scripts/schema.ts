// Writes the JSON Schemas in docs/ from the zod schemas. `npm run schema`; a test holds the files to them.
import { writeFileSync } from 'node:fs';
import { jsonSchemas } from '../tests/support/schemas.ts';

for (const [file, text] of Object.entries(jsonSchemas())) writeFileSync(file, text);
