import { render } from 'preact';
import { PrintPage } from './print-page.tsx';

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
