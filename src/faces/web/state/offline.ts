import { signal } from '@preact/signals';
import { afterFirstAnswer } from './first-answer.ts';

/** Whether this page works without a network: it is stored, it is being stored, or it cannot be. */
export const offline = signal<'stored' | 'storing' | 'not secure' | 'not possible'>('storing');

/** Has the browser store the program, so that it opens and answers with no network; after the answer, which comes first. */
export async function workOffline(): Promise<void> {
  if (!('serviceWorker' in navigator)) {
    offline.value = isSecureContext ? 'not possible' : 'not secure';
    return;
  }
  await afterFirstAnswer();
  try {
    await navigator.serviceWorker.register('sw.js');
    await navigator.serviceWorker.ready;
    offline.value = 'stored';
  } catch {
    // Not served by the program's own server, or forbidden: the page works as long as there is a network.
    offline.value = 'not possible';
  }
}
