import { signal, useSignalEffect } from '@preact/signals';
import type { ComponentChildren, TargetedPointerEvent } from 'preact';
import { lastStep } from '../state/said.ts';
import { isClockOn } from '../state/spill.ts';
import { isStale } from '../state/stale.ts';
import { say } from '../state/voice.ts';

/** Parts of the room under the header that the sheet may rest at on a phone. */
const RESTS = [0.3, 0.6, 0.92] as const;
const [LOWEST, MIDDLE, HIGHEST] = RESTS;
/** Part of it while a spill's clock runs. */
const RUNNING = 0.75;

/** Part of that room that the sheet takes now. On a desk it means nothing. */
const sheetPart = signal<number>(MIDDLE);

/** The rest nearest to where the sheet was let go. */
export function nearestRest(part: number): number {
  return RESTS.reduce<number>((best, rest) => (Math.abs(rest - part) < Math.abs(best - part) ? rest : best), MIDDLE);
}

/** The next rest upwards; from the highest, back to the lowest. */
export const nextRest = (part: number): number => RESTS.find((rest) => rest > part + 0.01) ?? LOWEST;

/** A finger that moves less than this has pressed, not dragged. */
const STILL_PX = 6;

/** The drag under way; kept out of the component, which may be drawn anew in the middle of it. */
let drag: { fromY: number; fromPart: number; roomPx: number; moved: boolean } | null = null;
/** A drag ends with a click as well, which must not count. */
let endedDrag = false;

const partAt = (y: number) => (drag ? drag.fromPart + (drag.fromY - y) / drag.roomPx : sheetPart.value);

function begin({ clientY, pointerId, currentTarget: handle }: TargetedPointerEvent<HTMLElement>): void {
  const roomPx = handle.closest('main')?.clientHeight ?? innerHeight;
  drag = { fromY: clientY, fromPart: sheetPart.value, roomPx, moved: false };
  endedDrag = false;
  handle.setPointerCapture(pointerId);
}

function move({ clientY }: PointerEvent): void {
  if (!drag || (!drag.moved && Math.abs(clientY - drag.fromY) < STILL_PX)) return;
  drag.moved = true;
  sheetPart.value = Math.min(0.95, Math.max(0.15, partAt(clientY)));
}

function end({ clientY }: PointerEvent): void {
  if (drag?.moved) {
    sheetPart.value = nearestRest(partAt(clientY));
    endedDrag = true;
  }
  drag = null;
}

/** A drag that the device took over (a call comes in, a palm rests) ends where it was. */
function cancel(): void {
  if (drag?.moved) sheetPart.value = nearestRest(sheetPart.value);
  drag = null;
}

function press(): void {
  if (endedDrag) endedDrag = false;
  else sheetPart.value = nextRest(sheetPart.value);
}

/** Holds the page, the height of the sheet, and whether figures are being worked out, so that neither draws anything else anew. */
export function Frame({ children }: { children: ComponentChildren }) {
  return (
    <div class={isStale.value ? 'app stale' : 'app'} style={{ '--sheet': `${(sheetPart.value * 100).toFixed(2)}%` }}>
      {children}
    </div>
  );
}

/** The sheet's handle: dragged up and down, or pressed to go to the next height. */
export function Handle() {
  useSignalEffect(() => {
    // What was said takes up room at its foot; what to do next stays in sight above it.
    if (lastStep.value && sheetPart.peek() < MIDDLE) sheetPart.value = MIDDLE;
  });
  useSignalEffect(() => {
    // What to do now has to be in sight with its answers, and the way there above it.
    if (isClockOn.value && sheetPart.peek() < RUNNING) sheetPart.value = RUNNING;
  });
  return (
    <button
      type="button"
      class="handle"
      aria-label={sheetPart.value >= HIGHEST ? say('app.show-map') : say('app.show-more')}
      onPointerDown={begin}
      onPointerMove={move}
      onPointerUp={end}
      onPointerCancel={cancel}
      onClick={press}
    >
      <span />
    </button>
  );
}
