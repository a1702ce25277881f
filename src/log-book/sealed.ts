import * as z from 'zod';
import { explain, type Problem, parseJson, problem } from '../site-map/index.ts';
import { readKeptEntry, sealShape } from './entry.ts';
import { canonicalText, hashOf, type SealedEntry, type Sha256, unsealed } from './seal.ts';

const seal = z.looseObject(sealShape);

/**
 * Reads one line of an export: a sealed entry that is sound, written as it was accepted, and gives its own hash. That it
 * follows the entry before it is for the store to see. Never throws for bad input. O(text).
 */
export function readSealedEntry(text: string, sha256: Sha256): { sealed?: SealedEntry; problems: Problem[] } {
  const { value, problems } = parseJson(text);
  if (value === undefined) return { problems };
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return readKeptEntry(value);
  const sealed = value as SealedEntry;
  problems.push(...readKeptEntry(unsealed(sealed)).problems);
  if (problems.length === 0) problems.push(...explain(seal, sealed, sealed.id));
  if (problems.length > 0) return { problems };
  if (canonicalText(sealed) === text && hashOf(sealed, sha256) === sealed.hash) return { sealed, problems };
  const message = `entry ${sealed.seq} of ${sealed.site} is not as it was accepted`;
  const cure = 'import a copy that nobody changed';
  return { problems: [problem('chain-broken', { id: sealed.id, field: 'hash' }, { message, cure })] };
}
