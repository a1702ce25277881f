import { existsSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { type Problem, problem } from '../../site-map/index.ts';
import { fileFault, StoreFault } from './fault.ts';
import { makeFolder, photosIn, sha256, syncFolder } from './photos.ts';
import { copySqlite, faultOf, sqliteFile } from './sqlite.ts';

/**
 * Copies a log book kept in SQLite into a folder without one, while others may write to it: the entries as they stand at
 * one moment, then the photos and maps, so that every one that an entry names is among them. Gives back the files that
 * were left out since they are not what their names say. The copy is a book only once all of it is there. Throws a
 * StoreFault.
 */
export async function backUp(folder: string, to: string): Promise<Problem[]> {
  if (existsSync(sqliteFile(to))) {
    const cure = 'name a new folder with --out';
    throw new StoreFault('log-unwritable', 'there is a log book in this folder already', cure);
  }
  makeFolder(to);
  const part = `${sqliteFile(to)}.part`;
  try {
    rmSync(part, { force: true });
    await copySqlite(folder, part);
    const problems = ['photos', 'maps'].flatMap((name) => copyFiles(join(folder, name), join(to, name)));
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
  if (!existsSync(from)) return [];
  const [source, copy] = [photosIn(from), photosIn(to)];
  return readdirSync(from).flatMap((name) => {
    const bytes = source.read(name);
    if (bytes === null) return [];
    if (sha256(bytes) === name) {
      copy.save(bytes);
      return [];
    }
    const message = `${join(from, name)} was changed, it is left out`;
    return [problem('photo-changed', { id: null, field: null }, { message, cure: 'restore it from an export' })];
  });
}
