import type { Told } from '../catalogue/index.ts';
import type { Problem, ProblemCode } from '../site-map/index.ts';
import { problem } from '../site-map/index.ts';

/** The world did not let the store do its work: the file is damaged, held by another program, may not be written. */
export class StoreFault extends Error {
  readonly problem: Problem;
  constructor(code: ProblemCode, message: string | Told, cure: string | Told, cause?: unknown) {
    super(typeof message === 'string' ? message : message.told, { cause });
    this.problem = problem(code, { id: null, field: null }, { message, cure });
  }
}

const UNWRITABLE: Record<string, [message: string, cure: string]> = {
  EACCES: ['it may not be written', 'ask for the right to, or name another folder with --data'],
  EPERM: ['it may not be written', 'ask for the right to, or name another folder with --data'],
  EROFS: ['it may not be written', 'name a folder with --data that may be'],
  ENOSPC: ['the disk is full', 'make room'],
  EDQUOT: ['the disk is full', 'make room'],
  ENOTDIR: ['part of its path is a file, not a folder', 'name a folder with --data'],
  EEXIST: ['it is a file, not a folder', 'name a folder with --data'],
};

/** A failed file operation as a StoreFault; anything else as it is. */
export function fileFault(error: unknown): unknown {
  const { code, message } = error as NodeJS.ErrnoException;
  if (code === undefined || error instanceof StoreFault) return error;
  const [words, cure] = UNWRITABLE[code] ?? [message, 'look after the disk'];
  return new StoreFault('log-unwritable', words, cure, error);
}

/** A package with a binary part that does not load: it is missing, or made for another machine or Node. */
export function notInstalled(name: string, error: unknown): StoreFault {
  // The first sentence: what others follow with is advice of their own.
  const [words] = String((error as Error | null)?.message).split(/\. |\n/);
  const message = `${name} does not load here (${process.platform} ${process.arch}, Node ${process.version}): ${words}`;
  return new StoreFault('not-installed', message, 'run npm ci in the folder of Oilshed, on this machine', error);
}

/** A file of the book that cannot be read, as a StoreFault that names it. */
export function readFault(file: string, error: unknown): StoreFault {
  const { code, message } = error as NodeJS.ErrnoException;
  if (code === 'EISDIR') return notAFile(file, error);
  const isForbidden = code === 'EACCES' || code === 'EPERM';
  const [words, cure] = isForbidden
    ? ['may not be read', 'ask for the right to read it']
    : [`cannot be read (${message})`, 'look after the disk'];
  return new StoreFault('log-unwritable', `${file} ${words}`, cure, error);
}

export const notAFile = (file: string, cause?: unknown) =>
  new StoreFault(
    'log-damaged',
    `${file} is a folder, not a file`,
    'move it away, and restore the file from a backup or an export',
    cause,
  );
