import { type Asks, PLANNER_TASKS, type Replies, type Request, type Response, type Task } from './protocol.ts';

/** What came back: a reply, what broke, or null where a newer question of the same kind has been asked since. */
export type Outcome<T extends Task> = { reply: Replies[T] } | { failed: string } | null;

interface Waiting {
  number: number;
  tell(outcome: Outcome<never> | Outcome<Task>): void;
}

/** The one question of each kind that still counts. */
const waiting = new Map<Task, Waiting>();
let counter = 0;
/** Each is started when it is first asked. */
const makers = {
  main: () => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' }),
  planner: () => new Worker(new URL('./planner-worker.ts', import.meta.url), { type: 'module' }),
};
type Who = keyof typeof makers;
const workers: Partial<Record<Who, Worker>> = {};

const planned: readonly Task[] = PLANNER_TASKS;
const workerFor = (task: Task): Who => (planned.includes(task) ? 'planner' : 'main');

function start(who: Who): Worker {
  const made = makers[who]();
  made.onmessage = ({ data }: MessageEvent<Response>) => {
    const question = waiting.get(data.task);
    if (question?.number !== data.number) return;
    waiting.delete(data.task);
    question.tell('failed' in data ? { failed: data.failed } : { reply: data.reply });
  };
  made.onerror = (event) => {
    event.preventDefault();
    // A worker that could not be loaded, or died, answers nothing any more: every open question to it is told so.
    const left = [...waiting].filter(([task]) => workerFor(task) === who);
    delete workers[who];
    for (const [task, { tell }] of left) {
      waiting.delete(task);
      tell({ failed: event.message || 'the computation did not start' });
    }
  };
  return made;
}

/** Asks a worker. Of several questions of one kind the latest wins; the promise never rejects. */
export function ask<T extends Task>(task: T, question: Asks[T]): Promise<Outcome<T>> {
  const who = workerFor(task);
  workers[who] ??= start(who);
  const number = ++counter;
  const request: Request<T> = { number, task, ask: question };
  workers[who].postMessage(request);
  waiting.get(task)?.tell(null);
  return new Promise((resolve) => {
    waiting.set(task, { number, tell: resolve as Waiting['tell'] });
  });
}
