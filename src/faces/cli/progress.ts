import { writeSync } from 'node:fs';
import { Worker } from 'node:worker_threads';
import { say, voice } from './voice.ts';
import { world } from './world.ts';

/** Who holds the pen: the thread that tells of progress takes it before it writes, this one for good when the work is done. */
export const FREE = 0;
export const WRITING = 1;
const DONE = 2;

/** What both threads see. */
export interface ProgressData {
  what: string;
  /** What is said while it is not known how far the work is, and the locale of the percent after that. */
  atWork: string;
  locale: string;
  isTerminal: boolean;
  pen: Int32Array;
  /** 1 where a line stands on the terminal that is to be taken away. */
  isShown: Int32Array;
  /** How far the work is, 0 to 1; 0 as long as that is not known. */
  part: Float64Array;
}

let shared: ProgressData | null = null;

/** How far the work is, 0 to 1, where that is known. */
export function tellPart(part: number): void {
  if (shared) shared.part[0] = part;
}

/**
 * Tells on standard error, for work of over a second, that it goes on: on a terminal a bar or the time gone by, elsewhere a line
 * now and then. From a thread of its own, since most work holds this one until it is done.
 */
export function startProgress(what: string): void {
  const part = new Float64Array(new SharedArrayBuffer(8));
  const { isTTY: isTerminal } = process.stderr;
  const { locale } = voice();
  shared = { what, atWork: say('cli.at-work'), locale, isTerminal, pen: sharedInt(), isShown: sharedInt(), part };
  const worker = new Worker(new URL('progress-thread.js', import.meta.url), { workerData: shared });
  // Where progress cannot be shown, the answer still comes.
  worker.on('error', () => {});
  worker.unref();
}

const sharedInt = () => new Int32Array(new SharedArrayBuffer(4));

/** Writes to standard error, and removes a line of progress first. */
export function writeError(text: string): void {
  lockTerminal(WRITING);
  world().writeError(text);
  if (shared) Atomics.store(shared.pen, 0, FREE);
}

/** Removes the line of progress from the terminal; no other follows. */
export function endProgress(): void {
  lockTerminal(DONE);
  shared = null;
}

function lockTerminal(to: number): void {
  if (!shared) return;
  while (Atomics.compareExchange(shared.pen, 0, FREE, to) !== FREE);
  if (Atomics.exchange(shared.isShown, 0, 0) === 1) writeSync(2, '\r\u001b[K');
}
