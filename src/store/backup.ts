import { existsSync, readFileSync, renameSync, rmSync } from 'node:fs';
import { told } from '../catalogue/index.ts';
import type { Problem } from '../site-map/index.ts';
import { fileFault, StoreFault } from './fault.ts';
import { headsFile } from './heads.ts';
import { filesOfKind, keptFilesIn, soundFile } from './kept-files.ts';
import { makeFolder, syncFolder, writeDurably } from './photos.ts';
import { copySqlite, faultOf, sqliteFile } from './sqlite.ts';

/**
 * Copies a log book kept in SQLite into a folder without one, while others may write to it: the entries as they stand at
 * one moment, then the photos and maps, so that every one that an entry names is among them. `databaseFolder` is where the
 * book's database can be opened. Gives back the files that were left out since they are not what their names say. The copy
 * is a book only once all of it is there. Throws a StoreFault.
 */
export async function backUp({
  folder,
  databaseFolder = folder,
  to,
}: {
  folder: string;
  databaseFolder?: string;
  to: string;
}): Promise<Problem[]> {
  if (existsSync(sqliteFile(to))) {
    throw new StoreFault('log-unwritable', told('store.book-there'), told('store.book-there-remedy'));
  }
  makeFolder(to);
  const part = `${sqliteFile(to)}.part`;
  try {
    rmSync(part, { force: true });
    // The heads first: the copy may be ahead of them, never behind. One that lacks what they say lacks it in the copy too.
    if (existsSync(headsFile(databaseFolder))) writeDurably(headsFile(to), readFileSync(headsFile(databaseFolder)));
    await copySqlite(databaseFolder, part);
    const problems = copyFiles(folder, to);
    renameSync(part, sqliteFile(to));
    syncFolder(to);
    return problems;
  } catch (error) {
    rmSync(part, { force: true });
    const fault = faultOf(error);
    throw fault === error ? fileFault(error) : fault;
  }
}

function copyFiles(from: string, to: string): Problem[] {
  const [source, copy] = [keptFilesIn(from), keptFilesIn(to)];
  return (['photo', 'map'] as const).flatMap((kind) =>
    filesOfKind(source, kind)
      .names()
      .flatMap((name) => {
        const { bytes, problem } = soundFile(source, { kind, name, field: null, id: null, isOld: false });
        if (problem) return [{ ...problem, message: told('store.left-out', { problem: problem.message }) }];
        filesOfKind(copy, kind).save(bytes);
        return [];
      }),
  );
}
