import { forgetWords, keepWord, onKeptElsewhere } from './device-words.ts';
import { clearDevice } from './on-device.ts';

const FORGOTTEN = 'forgotten';

/** Takes all that is kept here off this device, and begins anew: in this tab, and in the others, which would write theirs again. */
export async function forgetAll(): Promise<void> {
  keepWord(FORGOTTEN, String(Date.now()));
  // The database of a browser that keeps nothing cannot be opened.
  await clearDevice().catch(() => {});
  forgetWords();
  beginAnew();
}

/** Begins anew when another tab has taken all away. */
export function heedForgetting(): void {
  onKeptElsewhere((name, text) => {
    if (name === FORGOTTEN && text !== null) beginAnew();
  });
}

function beginAnew(): void {
  history.replaceState(null, '', location.pathname + location.search);
  location.reload();
}
