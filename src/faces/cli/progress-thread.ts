import { writeSync } from 'node:fs';
import { workerData } from 'node:worker_threads';
import { Format } from 'cli-progress';
import { FREE, type ProgressData, WRITING } from './progress.ts';

/** Tells of progress while the program's own thread works; see `startProgress`. */

const { pen, isShown, part, what, atWork, locale, isTerminal }: ProgressData = workerData;

const FIRST_MS = 1000;
const [BAR_MS, LINE_MS] = [100, 10_000];
const BAR = { barsize: 30, barCompleteString: '█'.repeat(30), barIncompleteString: '░'.repeat(30), barGlue: '' };
const PERCENT = new Intl.NumberFormat(locale, { style: 'percent', roundingMode: 'floor' });
const began = performance.now();

function tell(): void {
  // Standard error is this thread's only while it holds the pen, which it gets no more once the work is done.
  if (Atomics.compareExchange(pen, 0, FREE, WRITING) !== FREE) return;
  const bar = isTerminal ? `${Format.BarFormat(part[0], BAR)} ` : '';
  const far = part[0] > 0 ? `${bar}${PERCENT.format(part[0])}` : atWork;
  const line = `${what}: ${far}, ${Math.floor((performance.now() - began) / 1000)} s`;
  try {
    writeSync(2, isTerminal ? `\r\u001b[K${line}` : `${line}\n`);
    isShown[0] = isTerminal ? 1 : 0;
  } finally {
    // Also where standard error is closed: the other thread would otherwise wait for the lock for ever.
    Atomics.store(pen, 0, FREE);
  }
}

setTimeout(() => {
  tell();
  setInterval(tell, isTerminal ? BAR_MS : LINE_MS);
}, FIRST_MS);
