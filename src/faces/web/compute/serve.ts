import type { Asks, Replies, Request, Response, Task } from './protocol.ts';

/** Takes the latest request of each task and answers it, one after the other; what was asked before that is passed over. */
export function serve<T extends Task>(
  scope: DedicatedWorkerGlobalScope,
  answers: { [K in T]: (ask: Asks[K]) => Replies[K] | Promise<Replies[K]> },
): void {
  const waiting = new Map<T, Request<T>>();
  let isBusy = false;

  scope.onmessage = ({ data }: MessageEvent<Request<T>>) => {
    // Taken out and put back, so that the order of asking is kept across tasks.
    waiting.delete(data.task);
    waiting.set(data.task, data);
    // Requests that came in during a computation are all delivered before the next one starts.
    setTimeout(answerNext, 0);
  };

  async function answerNext(): Promise<void> {
    const next = waiting.values().next();
    if (next.done || isBusy) return;
    waiting.delete(next.value.task);
    isBusy = true;
    scope.postMessage(await answer(next.value));
    isBusy = false;
    if (waiting.size > 0) setTimeout(answerNext, 0);
  }

  async function answer({ number, task, ask }: Request<T>): Promise<Response> {
    try {
      return { number, task, reply: await answers[task](ask) } as Response;
    } catch (error) {
      return { number, task, failed: error instanceof Error ? error.message : String(error) };
    }
  }
}
