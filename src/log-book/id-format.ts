import * as z from 'zod';
import { LONGEST_SITE, oneLine, UUID } from './ids.ts';

export const entryIdSchema = z
  .string()
  .regex(UUID, { error: 'a UUID in lower case, such as "0197218a-3c5e-7d61-9b0a-4f2c81d7e6a3"' })
  .brand<'entry id'>();

export const lineSchema = (longest: number) =>
  z.string().regex(oneLine(longest), {
    error: `a text of one line, 1 to ${longest} characters, no blanks at its ends`,
  });

export const siteIdSchema = lineSchema(LONGEST_SITE).brand<'site id'>();

export const sha256Schema = z.string().regex(/^[0-9a-f]{64}$/, { error: 'a SHA-256 in lower-case hex, 64 digits' });

export const mapIdSchema = sha256Schema.brand<'map id'>();
