import type { SealedEntry } from '../../log-book/index.ts';
import type { SiteMap } from '../../site-map/index.ts';
import { type Finding, readFindings } from '../../sources/index.ts';
import { readText, throwErrors } from './input.ts';

/** Where findings stand: a file's name, or what the log book has, with what it is called in messages. */
export type FindingsSource = string | { name: string; text: string; entries: readonly SealedEntry[] };

export const findingsName = (source: FindingsSource) => (typeof source === 'string' ? source : source.name);

/** The findings of a source, or an InputError with all that is wrong in it. Apart from `input.ts`, so that verbs without findings load less. */
export function loadFindings(source: FindingsSource, map: SiteMap): Finding[] {
  const text = typeof source === 'string' ? readText(source) : source.text;
  const { findings, problems } = readFindings(text, map);
  throwErrors(findingsName(source), problems);
  return findings;
}
