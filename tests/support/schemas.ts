import * as z from 'zod';
import { siteMapSchema } from '../../src/site-map/index.ts';
import { findingsFileSchema } from '../../src/sources/index.ts';

/** The JSON Schemas that stand in docs/, by file name. */
export function jsonSchemas(): Record<string, string> {
  const text = (schema: z.ZodType, title: string) =>
    `${JSON.stringify({ title, ...z.toJSONSchema(schema) }, null, 2)}\n`;
  return {
    'docs/site-map.schema.json': text(siteMapSchema, 'Oilshed site map, version 1'),
    'docs/findings.schema.json': text(findingsFileSchema, 'Oilshed findings, version 1'),
  };
}
