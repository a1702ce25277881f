import { yard } from '../state/yard.ts';

/** Says of a demo yard that there is no such place. */
export function InventedStrip() {
  if (!yard.value?.demo) return null;
  return (
    <aside class="strip" aria-label="This yard">
      This is an invented yard. <span>Bring yours with the button above: a site map, findings, or both.</span>
    </aside>
  );
}
