import { findingsFileOf, type SealedEntry } from '../../log-book/index.ts';
import { entryOf } from '../store/index.ts';
import type { FindingsSource } from './findings.ts';
import { InputError, WordsError } from './input.ts';
import { logPlace, withLogStore } from './log-place.ts';
import { safe } from './print.ts';

/** The findings of the log book, `--log [--site S]`, as a findings file; what a later entry corrects is left out. */
export async function logFindings({ site, data }: { site?: string; data?: string }): Promise<FindingsSource> {
  const { folder } = logPlace(data);
  const { from, entries } = await withLogStore({ data, mustExist: true }, async (store) => {
    const sites = (await store.heads()).map((head) => head.site);
    const from = site ?? (sites.length === 1 ? sites[0] : undefined);
    if (from === undefined && sites.length > 1)
      throw new WordsError(
        `the log book has ${sites.length} sites; write one with --site: ${sites.map(safe).join(', ')}`,
      );
    if (from === undefined || !sites.includes(from))
      throw new InputError([
        `${safe(folder)}: --site: there is no entry of ${safe(from ?? 'any site')}; add one first`,
      ]);
    const entries: SealedEntry[] = [];
    for await (const page of store.pages({ site: from })) entries.push(...page.map(entryOf));
    return { from, entries };
  });
  return { name: `${folder}, ${from}`, text: JSON.stringify(findingsFileOf(entries)), entries };
}
