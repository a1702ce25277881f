import * as z from 'zod';
import { told } from '../catalogue/index.ts';
import { explain, type Problem, parseJson, problem } from '../site-map/index.ts';
import type { SealedEntry } from './entry.ts';
import { accountShape, sealShape } from './entry-format.ts';
import { keptProblems, keptSealedEntry } from './read.ts';
import { asWritten, entryText, hashOf, type Sha256 } from './seal.ts';

const seal = z.looseObject(sealShape);
/** What is sealed, without its seal. */
const SEAL_KEYS = [...Object.keys(sealShape), ...Object.keys(accountShape)];

/**
 * Reads one line of an export: a sealed entry that is sound, written as it was accepted, and gives its own hash. That it
 * follows the entry before it is for the store to see. Never throws for bad input. O(text).
 */
export function readSealedEntry(text: string, sha256: Sha256): { sealed?: SealedEntry; problems: Problem[] } {
  const { value, problems } = parseJson(text);
  if (value === undefined) return { problems };
  problems.push(...keptProblems(withoutSeal(value)));
  const sealed = keptSealedEntry(value);
  if (problems.length === 0) problems.push(...explain(seal, value, sealed?.id ?? null));
  if (problems.length > 0 || sealed === null) return { problems };
  if (entryText(sealed) === text && hashOf(asWritten(sealed), sha256) === sealed.hash) return { sealed, problems };
  const { id, seq, site } = sealed;
  const message = told('log-book.not-as-accepted', { seq: String(seq), site });
  const cure = told('log-book.not-as-accepted-remedy');
  return { problems: [problem('chain-broken', { id, field: 'hash' }, { message, cure })] };
}

const withoutSeal = (value: unknown): unknown =>
  typeof value !== 'object' || value === null || Array.isArray(value)
    ? value
    : Object.fromEntries(Object.entries(value).filter(([key]) => !SEAL_KEYS.includes(key)));
