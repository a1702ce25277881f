import { Rich } from '../parts/rich.tsx';
import { say } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

/** Says of a demo yard that there is no such place. */
export function InventedStrip() {
  if (!yard.value?.demo) return null;
  return (
    <aside class="strip" aria-label={say('app.this-yard')}>
      <Rich of={['app.invented']} as={{ more: 'span' }} />
    </aside>
  );
}
