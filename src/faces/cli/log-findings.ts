import type { SealedEntry } from '../../log-book/index.ts';
import { entryOf } from '../../store/index.ts';
import type { LogFindings } from './findings.ts';
import { logPlace, siteHead, withLogStore } from './log-place.ts';

/** The findings of the log book, `--log [--site S]`; what a later entry corrects is left out where they are read. */
export async function logFindings({ site, data }: { site?: string; data?: string }): Promise<LogFindings> {
  const { folder } = logPlace(data);
  const { from, entries } = await withLogStore({ data, purpose: 'read' }, async (store) => {
    const { site: from } = siteHead(await store.heads(), site, folder);
    const entries: SealedEntry[] = [];
    for await (const page of store.pages({ site: from })) entries.push(...page.map(entryOf));
    return { from, entries };
  });
  return { name: `${folder}, ${from}`, site: from, entries };
}
