import { loadMessages, type Told, told, voiceOf } from '../catalogue/index.ts';
import type { Problem, ProblemCode } from '../site-map/index.ts';
import { problem } from '../site-map/index.ts';

/** Faults are logged, and logs are in English. */
const ENGLISH = voiceOf({ language: 'en', messages: await loadMessages('en') });

/** The world did not let the store do its work: the file is damaged, held by another program, may not be written. */
export class StoreFault extends Error {
  readonly problem: Problem;
  constructor(code: ProblemCode, message: Told, cure: Told, cause?: unknown) {
    super(ENGLISH.text(message), { cause });
    this.problem = problem(code, { id: null, field: null }, { message, cure });
  }
}

const FORBIDDEN: [message: Told, cure: Told] = [told('store.unwritable'), told('store.unwritable-remedy')];
const FULL: typeof FORBIDDEN = [told('store.disk-full'), told('store.disk-full-remedy')];
const UNWRITABLE: Record<string, typeof FORBIDDEN> = {
  EACCES: FORBIDDEN,
  EPERM: FORBIDDEN,
  EROFS: [told('store.unwritable'), told('store.read-only-remedy')],
  ENOSPC: FULL,
  EDQUOT: FULL,
  ENOTDIR: [told('store.file-in-path'), told('store.name-folder')],
  EEXIST: [told('store.file-not-folder'), told('store.name-folder')],
};

/** A failed file operation as a StoreFault; anything else as it is. */
export function fileFault(error: unknown): unknown {
  const { code, message } = error as NodeJS.ErrnoException;
  if (code === undefined || error instanceof StoreFault) return error;
  const unknown = [told('store.cannot-be-written', { words: message }), told('store.look-after-disk')];
  const [words, cure] = UNWRITABLE[code] ?? unknown;
  return new StoreFault('log-unwritable', words, cure, error);
}

/** A package with a binary part that does not load: it is missing, or made for another machine or Node. */
export function notInstalled(name: string, error: unknown): StoreFault {
  // The first sentence: what others follow with is advice of their own.
  const [words] = String((error as Error | null)?.message).split(/\. |\n/);
  const { platform, arch, version } = process;
  const message = told('store.not-installed', { name, platform, processor: arch, version, words });
  return new StoreFault('not-installed', message, told('store.not-installed-remedy'), error);
}

/** A file of the book that cannot be read, as a StoreFault that names it. */
export function readFault(file: string, error: unknown): StoreFault {
  const { code, message } = error as NodeJS.ErrnoException;
  if (code === 'EISDIR') return notAFile(file, error);
  const isForbidden = code === 'EACCES' || code === 'EPERM';
  const [words, cure] = isForbidden
    ? [told('store.may-not-be-read', { file }), told('store.may-not-be-read-remedy')]
    : [told('store.cannot-be-read', { file, words: message }), told('store.look-after-disk')];
  return new StoreFault('log-unwritable', words, cure, error);
}

export const notAFile = (file: string, cause?: unknown) =>
  new StoreFault('log-damaged', told('store.folder-not-file', { file }), told('store.folder-not-file-remedy'), cause);
