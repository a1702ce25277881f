import type { Asks, Replies, Request, Response, Task } from './protocol.ts';

/** What came back: a reply, what broke, or null where a newer question of the same kind has been asked since. */
export type Outcome<T extends Task> = { reply: Replies[T] } | { failed: string } | null;

interface Waiting {
  number: number;
  tell(outcome: Outcome<never> | Outcome<Task>): void;
}

/** The one question of each kind that still counts. */
const waiting = new Map<Task, Waiting>();
let counter = 0;
let worker: Worker | null = null;

function start(): Worker {
  const made = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  made.onmessage = ({ data }: MessageEvent<Response>) => {
    const question = waiting.get(data.task);
    if (question?.number !== data.number) return;
    waiting.delete(data.task);
    question.tell('failed' in data ? { failed: data.failed } : { reply: data.reply });
  };
  made.onerror = (event) => {
    event.preventDefault();
    // A worker that could not be loaded, or died, answers nothing any more: every open question is told so.
    const left = [...waiting.values()];
    waiting.clear();
    worker = null;
    for (const { tell } of left) tell({ failed: event.message || 'the computation did not start' });
  };
  return made;
}

/** Asks the worker. Of several questions of one kind the latest wins; the promise never rejects. */
export function ask<T extends Task>(task: T, question: Asks[T]): Promise<Outcome<T>> {
  worker ??= start();
  const number = ++counter;
  const request: Request<T> = { number, task, ask: question };
  worker.postMessage(request);
  waiting.get(task)?.tell(null);
  return new Promise((resolve) => {
    waiting.set(task, { number, tell: resolve as Waiting['tell'] });
  });
}
