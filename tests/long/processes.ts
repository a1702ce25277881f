import { type SpawnOptions, spawn } from 'node:child_process';

export interface Ended {
  status: number | null;
  /** What it wrote, standard output and standard error as they came. */
  said: string;
}

/** Runs a program to its end, which comes by force after `minutes`. Not in step with it, since the proxy answers meanwhile. */
export function run(command: readonly string[], options: SpawnOptions = {}, minutes = 10): Promise<Ended> {
  return new Promise((resolve, reject) => {
    const [program, ...words] = command;
    const child = spawn(program, words, { ...options, stdio: ['ignore', 'pipe', 'pipe'], detached: true });
    let said = '';
    for (const stream of [child.stdout, child.stderr])
      stream?.setEncoding('utf8').on('data', (part) => {
        said += part;
      });
    const clock = setTimeout(() => endGroup(child.pid), minutes * 60_000);
    child.once('error', reject);
    child.once('close', (status) => {
      clearTimeout(clock);
      resolve({ status, said });
    });
  });
}

/** Starts a program that stays, and comes back once it has said `until`; throws with what it said if it ends before. */
export function start(
  command: readonly string[],
  { until, minutes = 10, ...options }: SpawnOptions & { until: RegExp; minutes?: number },
): Promise<{ said: string; stop: () => Promise<void> }> {
  return new Promise((resolve, reject) => {
    const [program, ...words] = command;
    const child = spawn(program, words, { ...options, stdio: ['ignore', 'pipe', 'pipe'], detached: true });
    let said = '';
    const closed = new Promise<void>((done) => child.once('close', () => done()));
    const stop = async () => {
      endGroup(child.pid);
      await closed;
    };
    const clock = setTimeout(() => endGroup(child.pid), minutes * 60_000);
    for (const stream of [child.stdout, child.stderr])
      stream?.setEncoding('utf8').on('data', (part) => {
        said += part;
        if (!until.test(said)) return;
        clearTimeout(clock);
        resolve({ said, stop });
      });
    child.once('error', reject);
    child.once('close', (status) => {
      clearTimeout(clock);
      reject(new Error(`it ended with ${status} and had said:\n${tail(said)}`));
    });
  });
}

/** The last lines of a long text. */
export const tail = (said: string) => said.trimEnd().split('\n').slice(-30).join('\n');

/** Ends a program that this one started, with all that it started in turn. */
function endGroup(pid: number | undefined): void {
  try {
    if (pid) process.kill(-pid, 'SIGTERM');
  } catch {
    // It is gone already.
  }
}
