import type { ComponentChildren } from 'preact';
import type { Kind, PlaceKind, StructureKind } from '../site-map/index.ts';

/**
 * The project's own marks, drawn around (0, 0) to be read at 14 pixels and on a photocopy: body in paper, outline in
 * ink, water in blue-grey. Classes carry the colours, so that day, night, sun and print each have their own.
 */
const MARKS: Record<StructureKind | PlaceKind, ComponentChildren> & Partial<Record<Kind, ComponentChildren>> = {
  'catch-basin': (
    <>
      <rect class="mark-body" x="-7.5" y="-7.5" width="15" height="15" />
      <path class="mark-water" d="M-5 2.5q2.5 -3 5 0t5 0" />
    </>
  ),
  'trench-drain': (
    <>
      <rect class="mark-body" x="-14" y="-5" width="28" height="10" />
      <path class="mark-water" d="M-11 1q2.75 -3 5.5 0t5.5 0t5.5 0t5.5 0" />
    </>
  ),
  manhole: (
    <>
      <circle class="mark-solid" r="7.5" />
      <circle class="mark-pin" r="2.2" />
    </>
  ),
  valve: <path class="mark-body" d="M-9 -6.5L0 0L-9 6.5ZM9 -6.5L0 0L9 6.5ZM0 0V-9M-4 -9H4" />,
  pond: (
    <>
      <path class="mark-wet" d="M-12 1C-12 -6 -5 -8 0 -6S12 -8 12 0S5 8 -1 7S-12 7 -12 1Z" />
      <path class="mark-water" d="M-6 0q3 -3 6 0t6 0" />
    </>
  ),
  separator: (
    <>
      <rect class="mark-body" x="-15" y="-8" width="30" height="16" />
      <path class="mark-oil" d="M-15 -8h10v6h-10zM-5 -8h10v3h-10z" />
      <path class="mark-line" d="M-5 -8V8M5 -8V8" />
      <path class="mark-water" d="M-12.5 3.5h5M-2.5 3.5h5M7.5 3.5h5" />
      <rect class="mark-frame" x="-15" y="-8" width="30" height="16" />
    </>
  ),
  outfall: (
    <>
      <path class="mark-body" d="M9 -9L-3 -5.5H-9V5.5H-3L9 9" />
      <path class="mark-water" d="M-2 0H8M4.5 -3.5L8 0L4.5 3.5" />
    </>
  ),
  sanitary: (
    <>
      <circle class="mark-body" r="8" />
      <path class="mark-line" d="M0 -4.5V2M-3 -1L0 2L3 -1M-4 5H4" />
    </>
  ),
  edge: <path class="mark-line" d="M-9 0H-1M3 -8L-1 -4L3 0L-1 4L3 8" />,
  kit: (
    <>
      <path class="mark-line" d="M-3.5 -5V-8H3.5V-5" />
      <rect class="mark-solid" x="-8.5" y="-5" width="17" height="12" rx="1.5" />
      <path class="mark-cut" d="M-8.5 0.5H8.5M0 -1.5V2.5" />
    </>
  ),
  'kit-spot': <rect class="mark-faint" x="-5" y="-3.5" width="10" height="7" rx="1.5" />,
  crew: <path class="mark-solid" d="M-6 -8H1V0L8 3.5V8H-6Z" />,
  'fuel-stop': (
    <>
      <path class="mark-body" d="M0 -9C4 -3 6.5 0 6.5 3A6.5 6.5 0 0 1 -6.5 3C-6.5 0 -4 -3 0 -9Z" />
      <path class="mark-line" d="M-9 8L9 -8" />
    </>
  ),
  'pump-switch': (
    <>
      <rect class="mark-body" x="-7" y="-7" width="14" height="14" rx="2" />
      <path class="mark-line" d="M0 4V1L5 -4" />
    </>
  ),
  diverter: (
    <>
      <circle class="mark-body" r="8" />
      <path class="mark-line" d="M-5 4H0L5 -4M1.5 -4H5V-0.5" />
    </>
  ),
};

/** How far a mark reaches from its middle, in pixels, for keeping labels clear of it. */
export const markReach = (kind: Kind): { width: number; height: number } =>
  kind === 'separator' || kind === 'trench-drain' ? { width: 34, height: 20 } : { width: 22, height: 22 };

export function Mark({ kind }: { kind: Kind }) {
  return <g class="mark">{MARKS[kind] ?? <circle class="mark-body" r="6" />}</g>;
}

/** A mark standing in a line of text. */
export function MarkInText({ kind }: { kind: Kind }) {
  return (
    <svg class="mark-in-text" viewBox="-17 -12 34 24" aria-hidden="true">
      <Mark kind={kind} />
    </svg>
  );
}
