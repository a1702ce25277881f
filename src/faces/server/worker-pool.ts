import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { told } from '../../catalogue/index.ts';
import { StoreFault } from '../../store/index.ts';
import { type Refused, refused } from './problem-details.ts';
import { CROWDED, queue } from './queue.ts';
import type { Reply, Request } from './reader.ts';
import type { Answer, Ask, Job } from './reader-jobs.ts';

/**
 * Memory that one thread may take for objects, in MB. V8 ends the whole program where a parser goes over it, so it is a last
 * resort: what is counted before it is parsed stays far below, the worst 20 MB of a map at a third.
 */
const MOST_MB = 2048;
/** How long one may take: the worst 12 MB of a photo take half a second, the worst 20 MB of a map some ten. */
const LONGEST_MS = 60_000;
/** How many wait at most. */
const MOST_WAITING = 1000;

/** The thread's program: beside this one once both are built; in tests both run from the source. */
const FILE = join(
  dirname(fileURLToPath(import.meta.url)),
  import.meta.url.endsWith('.ts') ? 'reader-from-source.mjs' : 'reader.js',
);

/** Reads what was sent in threads of its own, so that the server answers others meanwhile. */
export interface WorkerPool {
  /**
   * Gives back the result of the work. `transfer` moves to the thread and is empty here afterwards. Throws Refused where the
   * work took too much memory or time, or too much waits, and StoreFault for a fault of the file system.
   */
  run<J extends Job>(job: J, ask: Ask<J>, transfer?: readonly ArrayBuffer[]): Promise<Answer<J>>;
  close(): Promise<void>;
}

/** A pool of at most `atOnce` threads, each started when it is first needed. */
export function workerPool(atOnce: number, { mostMs = LONGEST_MS } = {}): WorkerPool {
  const idle: Worker[] = [];
  const all = new Set<Worker>();
  const inTurn = queue(atOnce, MOST_WAITING);
  const start = () => {
    const worker = new Worker(FILE, { resourceLimits: { maxOldGenerationSizeMb: MOST_MB } });
    all.add(worker);
    worker.on('exit', () => {
      all.delete(worker);
      const at = idle.indexOf(worker);
      if (at >= 0) idle.splice(at, 1);
    });
    // The caller gets the error. One that comes while nothing is asked must not end the program.
    worker.on('error', () => {});
    // A thread that waits for work does not keep the program alive.
    worker.unref();
    return worker;
  };
  return {
    async run(job, ask, transfer = []) {
      const reply = await inTurn(async () => {
        const worker = idle.pop() ?? start();
        const reply = await replyOf(worker, { job, ask }, { transfer, mostMs });
        idle.push(worker);
        return reply;
      });
      if (reply === CROWDED) throw refused('server-busy', told('server.reads-too-much'), told('server.try-soon'));
      if ('answer' in reply) return reply.answer as Answer<typeof job>;
      throw new StoreFault(reply.fault.code, reply.fault.message, reply.fault.cure);
    },
    async close() {
      await Promise.all([...all].map((worker) => worker.terminate()));
    },
  };
}

/** Bytes that can go over to another thread: these, or a copy where their memory is shared with others. */
export function movable(bytes: Uint8Array): Uint8Array<ArrayBuffer> {
  const { buffer } = bytes;
  return buffer instanceof ArrayBuffer && buffer.byteLength === bytes.length
    ? new Uint8Array(buffer)
    : new Uint8Array(bytes);
}

/** Asks one thread. Where it does not reply, or says that it broke, it is ended, and not used again. */
function replyOf<J extends Job>(
  worker: Worker,
  request: Request<J>,
  { transfer, mostMs }: { transfer: readonly ArrayBuffer[]; mostMs: number },
): Promise<Exclude<Reply, { threw: unknown }>> {
  return new Promise((resolve, reject) => {
    const end = () => {
      clearTimeout(timer);
      worker.off('message', onMessage).off('error', onError).off('exit', onExit).unref();
    };
    const giveUp = (error: unknown) => {
      end();
      void worker.terminate();
      reject(error);
    };
    const onMessage = (reply: Reply) => {
      if ('threw' in reply) return giveUp(reply.threw);
      end();
      resolve(reply);
    };
    const onError = (error: NodeJS.ErrnoException) =>
      giveUp(error.code === 'ERR_WORKER_OUT_OF_MEMORY' ? tooMuch('memory') : error);
    const onExit = () => giveUp(new Error('a thread ended in the middle of its work'));
    const timer = setTimeout(() => giveUp(tooMuch('time')), mostMs);
    worker.on('message', onMessage).on('error', onError).on('exit', onExit);
    worker.ref();
    worker.postMessage(request, transfer);
  });
}

const tooMuch = (what: 'time' | 'memory'): Refused =>
  refused('too-large', told('server.too-much-work', { what }), told('server.send-less-at-once'));
