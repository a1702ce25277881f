import { effect } from '@preact/signals';
import { render } from 'preact';
import { isStale } from '../state/stale.ts';
import { PrintPage } from './print-page.tsx';

/** Longer than this nobody waits for a page; it then says what it is. */
const TIMEOUT_MS = 10_000;

/** Prints, once what is being worked out has been. */
export function printAnswer(): void {
  const now = () => {
    clearTimeout(patience);
    stop();
    print();
  };
  const patience = setTimeout(now, TIMEOUT_MS);
  const stop = effect(() => {
    // After the answer has been drawn, and never within its own effect.
    if (!isStale.value) queueMicrotask(now);
  });
}

/** Draws the page for paper when it is about to be printed, and takes it away again: on screen it would only cost. */
export function printWithAnswer(paper: HTMLElement): void {
  const draw = () => render(<PrintPage now={new Date()} />, paper);
  addEventListener('beforeprint', draw);
  addEventListener('afterprint', () => render(null, paper));
  // Where a browser prints without saying so first, the change of medium says it.
  matchMedia('print').addEventListener('change', ({ matches }) => {
    if (matches) draw();
  });
}
