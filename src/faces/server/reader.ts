import { parentPort } from 'node:worker_threads';
import { StoreFault } from '../../store/index.ts';
import { type Answer, type Ask, DO, type Job } from './reader-jobs.ts';

/** What a thread is sent, and what it sends back: an answer, what the disk said, or a fault of the program itself. */
export interface Request<J extends Job> {
  job: J;
  ask: Ask<J>;
}
export type Reply = { answer: Answer<Job> } | { fault: StoreFault['problem'] } | { threw: unknown };

/** Bytes go over to the other thread without being copied. */
function bytesIn(answer: Answer<Job>): ArrayBuffer[] {
  const bytes = typeof answer === 'object' && answer !== null && 'bytes' in answer ? answer.bytes : null;
  return bytes?.buffer instanceof ArrayBuffer ? [bytes.buffer] : [];
}

/** One thread of the server's pool: does what it is sent, one after the other. */
parentPort?.on('message', <J extends Job>({ job, ask }: Request<J>) => {
  const send = (reply: Reply, transfer: ArrayBuffer[] = []) => parentPort?.postMessage(reply, transfer);
  try {
    const answer = DO[job](ask);
    send({ answer }, bytesIn(answer));
  } catch (error) {
    send(error instanceof StoreFault ? { fault: error.problem } : { threw: error });
  }
});
