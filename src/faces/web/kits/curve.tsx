import { say } from '../state/voice.ts';

/** A point of a curve: where it stands, 0 to 1 across and up, and what is written over and under it. */
export interface CurvePoint {
  across: number;
  up: number;
  over?: string;
  under?: string;
  /** It is what is shown now. */
  isNow?: boolean;
}

const WIDTH = 340;
const HEIGHT = 150;
const [LEFT, RIGHT, TOP, FOOT] = [24, 316, 30, 118];

const pointOnPaper = ({ across, up }: CurvePoint) =>
  [LEFT + across * (RIGHT - LEFT), FOOT - up * (FOOT - TOP)] as const;

/** A line through points over a base line; `label` says all of it in words. */
export function Curve({ points, now, label }: { points: readonly CurvePoint[]; now?: CurvePoint; label: string }) {
  const path = points.map((point, at) => {
    const [x, y] = pointOnPaper(point);
    return `${at === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`;
  });
  return (
    <svg class="curve" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={label}>
      <path class="curve-base" d={`M${LEFT - 10} ${FOOT}H${RIGHT + 10}`} />
      <path class="curve-line" d={path.join('')} />
      {[...points, ...(now ? [now] : [])].map((point, at) => (
        <Dot key={String(at)} point={point} />
      ))}
    </svg>
  );
}

/** Long words lie to the left of their point, where a rising curve leaves room, or start at its beginning. */
const anchorOf = (across: number, words: string) => (words.length < 5 ? 'middle' : across < 0.4 ? 'start' : 'end');

function Dot({ point }: { point: CurvePoint }) {
  const { across, over, under, isNow } = point;
  const [x, y] = pointOnPaper(point);
  return (
    <g class={isNow ? 'curve-point now' : 'curve-point'}>
      {isNow && <path class="curve-drop" d={`M${x.toFixed(1)} ${y.toFixed(1)}V${FOOT}`} />}
      <circle cx={x.toFixed(1)} cy={y.toFixed(1)} r={isNow ? 6 : 3.5} />
      {over && (
        <text class="curve-words" x={x.toFixed(1)} y={(y - 11).toFixed(1)} text-anchor={anchorOf(across, over)}>
          {over}
        </text>
      )}
      {under && (
        <text class="curve-words" x={x.toFixed(1)} y={FOOT + 20} text-anchor={anchorOf(across, under)}>
          {under}
        </text>
      )}
    </g>
  );
}

/** Stands where a curve will be while it is worked out; `part` from 0 to 1. */
export function CurveProgress({ part }: { part: number }) {
  return (
    <p class="curve-progress">
      <label>
        {say('kits-screen.working-curve')}
        <progress max="1" value={part} />
      </label>
    </p>
  );
}
