import { AsyncLocalStorage } from 'node:async_hooks';
import { readSync } from 'node:fs';
import type { Readable } from 'node:stream';
import { type Language, loadMessages, type Messages, type Voice, voiceOf } from '../../catalogue/index.ts';
import { type Asked, languageAsked } from './language.ts';

/** What a run of the program finds round it. The process has one; tests hand in their own and need no process for each run. */
export interface World {
  env: NodeJS.ProcessEnv;
  /** Takes what is written to standard output. */
  write(text: string): void;
  /** Takes what is written to standard error. */
  writeError(text: string): void;
  /** Standard input to its end. */
  readInput(): Buffer;
  /** Standard input for who reads a line of it, or asks a person at a terminal. */
  input(): Readable & { isTTY?: boolean };
  loadMessages(language: Language): Promise<Messages>;
}

/** What one run keeps in mind of itself. */
interface Run extends World {
  /** `--quiet`: only the answer and errors are written. */
  isQuiet: boolean;
  isInputTaken: boolean;
  /** What the words and the environment ask for; where that is nothing, the map has its say. */
  asked: Asked;
  /** How it speaks to the person who runs it. */
  voice: Voice;
  /** How it speaks to programs: English and SI, whatever the person speaks. */
  english: Voice | null;
}

const running = new AsyncLocalStorage<Run>();

/** Does the work of these words in this world: all that it calls finds it by `world()`. */
export async function withWorld<T>(words: readonly string[], outside: World, work: () => Promise<T>): Promise<T> {
  const asked = languageAsked(words, outside.env);
  const language = asked && 'language' in asked ? asked.language : 'en';
  const voice = voiceOf({ language, messages: await outside.loadMessages(language) });
  return await running.run({ ...outside, isQuiet: false, isInputTaken: false, asked, voice, english: null }, work);
}

/** The world of the run that asks. */
export function world(): Run {
  const found = running.getStore();
  if (!found) throw new Error('no verb is running');
  return found;
}

export const PROCESS_WORLD: World = {
  env: process.env,
  write: (text) => void process.stdout.write(text),
  writeError: (text) => void process.stderr.write(text),
  readInput: readStandardInput,
  input: () => process.stdin,
  loadMessages,
};

const TRY_AGAIN_MS = 10;

function readStandardInput(): Buffer {
  const parts: Buffer[] = [];
  for (;;) {
    const part = Buffer.alloc(65_536);
    const length = readPart(part);
    if (length === 0) return Buffer.concat(parts);
    if (length > 0) parts.push(part.subarray(0, length));
    else Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, TRY_AGAIN_MS);
  }
}

/** How many bytes came in: 0 at the end, -1 where there is nothing yet. */
function readPart(part: Buffer): number {
  try {
    return readSync(0, part);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === 'EAGAIN') return -1;
    if (code === 'EOF') return 0;
    throw error;
  }
}
