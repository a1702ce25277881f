import { Readable } from 'node:stream';
import { loadMessages } from '../../src/catalogue/index.ts';
import { runProgram } from '../../src/faces/cli/oilshed.ts';
import type { World } from '../../src/faces/cli/world.ts';

export interface Said {
  status: number;
  stdout: string;
  stderr: string;
  /** The lines of standard error. */
  lines: string[];
}

export interface Surroundings {
  /** What comes in by standard input. */
  input?: string | Uint8Array;
  /** The folder it runs in. */
  cwd?: string;
  /** Variables of its environment, beside the few that every run has. */
  env?: NodeJS.ProcessEnv;
  /** Where it has its messages from, if not from the catalogue. */
  messages?: World['loadMessages'];
}

/**
 * Runs the program's words here, with no process for it: `oilshed WORDS` as it is in the source. The tests of a file run one
 * after the other, so that for the time of a run the folder may be changed. What hangs on the built program itself (its parts
 * in one another's files, signals, pipes, memory) is tried in bundle.process.test.ts and where tests start it.
 */
export async function runVerb(
  words: readonly string[],
  { input = '', cwd = process.cwd(), env = {}, messages = loadMessages }: Surroundings = {},
): Promise<Said> {
  const [out, err]: string[][] = [[], []];
  const { PATH, CHROMIUM_PATH } = process.env;
  const before = process.cwd();
  process.chdir(cwd);
  try {
    const status = await runProgram(words, {
      env: { PATH, CHROMIUM_PATH, OILSHED_PROGRESS: 'no', ...env },
      write: (text) => void out.push(text),
      writeError: (text) => void err.push(text),
      readInput: () => Buffer.from(input),
      input: () => Readable.from(input.length === 0 ? [] : [Buffer.from(input)]),
      loadMessages: messages,
    });
    const stderr = err.join('');
    return { status, stdout: out.join(''), stderr, lines: stderr.split('\n').filter((line) => line !== '') };
  } finally {
    process.chdir(before);
  }
}
