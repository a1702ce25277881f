const STEP = 9;
const TURNS = [45, 135, 0, 90];

/** Four hatches, told apart by their direction, each in ink and in light for dark zones. Zones that cannot be told apart share one. */
export function Hatches({ hatchId }: { hatchId: string }) {
  return (
    <defs>
      {['', '-light'].map((look) =>
        TURNS.map((turn, at) => (
          <pattern
            key={`${turn}${look}`}
            id={`${hatchId}-${at + 1}${look}`}
            width={STEP}
            height={STEP}
            patternUnits="userSpaceOnUse"
            patternTransform={`rotate(${turn})`}
          >
            <path class={`hatch-line${look}`} d={`M0 0V${STEP}`} />
          </pattern>
        )),
      )}
    </defs>
  );
}

/** From this step of the ramp on, a zone is so dark that its hatch is drawn in light. */
const DARK_FROM = 4;

/** The fill that hatches a zone of the given step, hatch 1 to 4. */
export const hatchFill = (hatchId: string, hatch: number, step: number): string =>
  `url(#${hatchId}-${hatch}${step >= DARK_FROM ? '-light' : ''})`;
