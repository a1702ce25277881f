/** The tab of a lid to lift, as on the map. */
export function LidSign({ number }: { number: number }) {
  return (
    <svg class="sign lid-sign" viewBox="-12 -15 24 28" aria-hidden="true">
      <path d="M-10 11V-9A4 4 0 0 1 -6 -13H6A4 4 0 0 1 10 -9V11Z" />
      <text y="5.5" text-anchor="middle">
        {number}
      </text>
    </svg>
  );
}

/** The ring of a place to block, as on the map. */
export function ActSign() {
  return (
    <svg class="sign act-sign" viewBox="-14 -14 28 28" aria-hidden="true">
      <circle r="10.5" />
    </svg>
  );
}

/** Where one stands, as on the map. */
export function HereSign() {
  return (
    <svg class="sign here-sign" viewBox="-12 -12 24 24" aria-hidden="true">
      <circle class="here-ring" r="9" />
      <circle class="here-dot" r="4.5" />
    </svg>
  );
}

/** A drop where oil was seen, a tick where it was clean, as on the map. */
export function SeenSign({ isClean }: { isClean: boolean }) {
  return (
    <svg class="sign seen-sign" viewBox="-12 -12 24 24" aria-hidden="true">
      <path class={isClean ? 'seen-tick' : 'drop'} d={isClean ? TICK : DROP} />
    </svg>
  );
}

/** Both drawn around (0, 0). */
export const TICK = 'M-7 0L-2 5.5L7 -6';
export const DROP = 'M0 -9.5C5 -2.5 6.5 0 6.5 2.5A6.5 6.5 0 0 1 -6.5 2.5C-6.5 0 -5 -2.5 0 -9.5Z';

/** The tab of a place that nothing on the map explains, as on the map. */
export function QuestionSign() {
  return (
    <svg class="sign lid-sign" viewBox="-12 -15 24 28" aria-hidden="true">
      <path d="M-10 11V-9A4 4 0 0 1 -6 -13H6A4 4 0 0 1 10 -9V11Z" />
      <text y="5.5" text-anchor="middle">
        ?
      </text>
    </svg>
  );
}
