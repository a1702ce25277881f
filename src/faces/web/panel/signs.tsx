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
