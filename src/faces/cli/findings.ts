import { told } from '../../catalogue/index.ts';
import { findingsFileOf, type SealedEntry } from '../../log-book/index.ts';
import type { SiteMap } from '../../site-map/index.ts';
import { type Finding, findingsIn, readFindings } from '../../sources/index.ts';
import { siteWord } from '../../words/index.ts';
import { readText, throwErrors } from './input.ts';
import { note, noteProblems } from './notes.ts';
import { fileLine } from './print.ts';
import { say } from './voice.ts';

/** Where findings stand: a file's name, or what the log book has, with what it is called in messages. */
export type FindingsSource = string | LogFindings;

/** What the log book has of a site. */
export interface LogFindings {
  name: string;
  site: string;
  entries: readonly SealedEntry[];
}

export const findingsName = (source: FindingsSource) => (typeof source === 'string' ? source : source.name);

/**
 * The findings of a source, or an InputError with all that is wrong in it. What does not fit in a log book is said and left
 * out, since nothing in it can be mended. Apart from `input.ts`, so that verbs without findings load less.
 */
export function loadFindings(source: FindingsSource, map: SiteMap): Finding[] {
  if (typeof source === 'string') {
    const { findings, problems } = readFindings(readText(source), map);
    throwErrors(source, problems);
    noteProblems(
      source,
      problems.filter(({ severity }) => severity === 'warning'),
    );
    return findings;
  }
  sayOtherSite(source, map);
  const { findings, problems } = findingsIn(findingsFileOf(source.entries, map.site.timeZone), map);
  noteProblems(
    source.name,
    problems.map((each) => ({ ...each, cure: told('cli.left-out-of-book') })),
  );
  return findings;
}

/**
 * Says so where a log book that has maps is read with the map of another yard, by their names: readings would be held
 * against another separator.
 */
export function sayOtherSite(
  { site, entries }: Pick<LogFindings, 'site' | 'entries'>,
  { site: { name } }: SiteMap,
): void {
  const words = siteWord(name ?? '').split('-');
  const isOfThis = siteWord(site)
    .split('-')
    .some((word) => words.includes(word));
  if (name === undefined || isOfThis || !entries.some(({ kind }) => kind === 'map')) return;
  note(fileLine(site, say('cli.other-site', { name })));
}
