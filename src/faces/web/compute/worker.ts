import { createAnswers } from './answers.ts';
import type { Request, Response, Task } from './protocol.ts';

/** The worker: takes the latest request of each task and answers it; what was asked before that is passed over. */
const answers = createAnswers();
const waiting = new Map<Task, Request>();
const scope = self as unknown as DedicatedWorkerGlobalScope;

scope.onmessage = ({ data }: MessageEvent<Request>) => {
  // Taken out and put back, so that the order of asking is kept across tasks.
  waiting.delete(data.task);
  waiting.set(data.task, data);
  // Requests that came in during a computation are all delivered before the next one starts.
  setTimeout(answerNext, 0);
};

function answerNext(): void {
  const next = waiting.values().next();
  if (next.done) return;
  waiting.delete(next.value.task);
  scope.postMessage(answer(next.value));
}

function answer<T extends Task>({ number, task, ask }: Request<T>): Response {
  try {
    return { number, task, reply: answers[task](ask) } as Response;
  } catch (error) {
    return { number, task, failed: error instanceof Error ? error.message : String(error) };
  }
}
