import * as z from 'zod';
import { told } from '../catalogue/index.ts';
import { allows } from '../site-map/index.ts';
import { LONGEST_SITE, oneLine, UUID } from './ids.ts';

export const entryIdSchema = z
  .string()
  .regex(UUID, allows(told('log-book.entry-id', { id: '"0197218a-3c5e-7d61-9b0a-4f2c81d7e6a3"' })))
  .brand<'entry id'>();

export const lineSchema = (longest: number) =>
  z.string().regex(oneLine(longest), allows(told('log-book.one-line', { longest })));

export const siteIdSchema = lineSchema(LONGEST_SITE).brand<'site id'>();

export const sha256Schema = z.string().regex(/^[0-9a-f]{64}$/, allows(told('log-book.sha256')));

export const mapIdSchema = sha256Schema.brand<'map id'>();
