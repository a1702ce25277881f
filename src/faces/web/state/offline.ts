import { signal } from '@preact/signals';
import { afterFirstAnswer } from './first-answer.ts';

/** The line is left to whoever looks at the answer and goes on from it: with the solver it is over a megabyte. */
const REST_MS = 2_000;

/** Whether this page works without a network: it is stored, it is being stored, or it cannot be. */
export const offline = signal<'stored' | 'storing' | 'not secure' | 'not possible'>('storing');

/** Has the browser store the program, so that it opens and answers with no network; after the answer, which comes first. */
export async function workOffline(): Promise<void> {
  if (!('serviceWorker' in navigator)) {
    offline.value = isSecureContext ? 'not possible' : 'not secure';
    return;
  }
  await afterFirstAnswer();
  await new Promise((rested) => setTimeout(rested, REST_MS));
  try {
    await navigator.serviceWorker.register('sw.js');
    await navigator.serviceWorker.ready;
    offline.value = 'stored';
  } catch {
    // Not served by the program's own server, or forbidden: the page works as long as there is a network.
    offline.value = 'not possible';
  }
}
