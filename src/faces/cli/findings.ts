import type { SiteMap } from '../../site-map/index.ts';
import { type Finding, readFindings } from '../../sources/index.ts';
import { readText, throwErrors } from './input.ts';

/** The findings of a file, or an InputError with all that is wrong in it. Apart from `input.ts`, so that verbs without findings load less. */
export function loadFindings(file: string, map: SiteMap): Finding[] {
  const { findings, problems } = readFindings(readText(file), map);
  throwErrors(file, problems);
  return findings;
}
