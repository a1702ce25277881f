import type { Voice } from '../../../catalogue/index.ts';
import { DAY_MS } from '../../../site-map/index.ts';

/** What one separator was found to hold, and when it was emptied, in a window of time. */
export interface Filling {
  fromMs: number;
  toMs: number;
  /** In order of time. */
  readings: readonly { ms: number; litres: number }[];
  emptiedMs: readonly number[];
  limitLitres: number | null;
  timeZone: string;
}

/** Tenths of a millimetre on paper: text keeps its size however wide the chart is. */
const TENTHS = 10;
const [LEFT, RIGHT, TOP, BOTTOM] = [20, 24, 72, 48];
/** Nearer than this, in tenths of a millimetre, names of months run into each other. */
const MONTH_APART = 75;
const NAME_APART = 170;
/** More points than this are drawn smaller. */
const MANY_READINGS = 60;

/** Oil over time against its limit: read in black and white as well as in brown. */
export function FillHistory({
  filling,
  widthMm,
  heightMm,
  label,
  voice,
}: {
  filling: Filling;
  widthMm: number;
  heightMm: number;
  label: string;
  voice: Voice;
}) {
  const { fromMs, toMs, readings, emptiedMs, limitLitres } = filling;
  const [width, height] = [widthMm * TENTHS, heightMm * TENTHS];
  const most = Math.max(limitLitres ?? 0, ...readings.map(({ litres }) => litres), 1e-6) * 1.04;
  const x = (ms: number) => LEFT + ((width - LEFT - RIGHT) * (ms - fromMs)) / (toMs - fromMs);
  const y = (litres: number) => height - BOTTOM - ((height - TOP - BOTTOM) * litres) / most;
  const radius = readings.length > MANY_READINGS ? 4 : 8;
  const months = monthStarts(filling, voice);
  const step = Math.ceil((months.length * MONTH_APART) / (width - LEFT - RIGHT));
  return (
    <svg
      class="fill-chart"
      viewBox={`0 0 ${width} ${height}`}
      style={{ width: `${widthMm}mm`, height: `${heightMm}mm` }}
      role="img"
      aria-label={label}
    >
      {stretches(filling).map((stretch) => (
        <Stretch key={stretch[0].ms} points={stretch.map(({ ms, litres }) => [x(ms), y(litres)])} floor={y(0)} />
      ))}
      {months.map(({ ms, name }, at) => (
        <g key={ms}>
          <path class="tick" d={`M${x(ms).toFixed(1)} ${y(0).toFixed(1)}v${at % step === 0 ? 12 : 6}`} />
          {at % step === 0 && x(ms) < width - RIGHT - MONTH_APART / 2 && (
            <text x={(x(ms) + 4).toFixed(1)} y={height - 12}>
              {name}
            </text>
          )}
        </g>
      ))}
      <path class="axis" d={`M${LEFT} ${y(0)}H${width - RIGHT}`} />
      {limitLitres !== null && (
        <g>
          <path class="limit-line" d={`M${LEFT} ${y(limitLitres).toFixed(1)}H${width - RIGHT}`} />
          <text class="limit-name" x={width - RIGHT} y={(y(limitLitres) - 10).toFixed(1)} text-anchor="end">
            {voice.say('report.fill-limit', { volume: { litres: limitLitres } })}
          </text>
        </g>
      )}
      {emptiedMs.map((ms, at) => (
        <g key={ms}>
          <path class="emptied-line" d={`M${x(ms).toFixed(1)} ${TOP - 40}V${y(0).toFixed(1)}`} />
          {(at === 0 || x(ms) - x(emptiedMs[at - 1]) > NAME_APART) && (
            <text x={x(ms).toFixed(1)} y={TOP - 46} text-anchor={anchorOf(x(ms), width)}>
              {voice.say('report.fill-emptied')}
            </text>
          )}
        </g>
      ))}
      {readings.map(({ ms, litres }) => (
        <circle key={ms} class="reading" cx={x(ms).toFixed(1)} cy={y(litres).toFixed(1)} r={radius} />
      ))}
    </svg>
  );
}

const anchorOf = (x: number, width: number) => (x < 90 ? 'start' : x > width - 90 ? 'end' : 'middle');

/** The line through the readings of one filling, and the oil under it. */
function Stretch({ points, floor }: { points: readonly (readonly [number, number])[]; floor: number }) {
  const line = points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L');
  const [first] = points;
  return (
    <g>
      <path class="fill-ground" d={`M${first[0].toFixed(1)} ${floor.toFixed(1)}L${line}V${floor.toFixed(1)}Z`} />
      <path class="fill-line" d={`M${line}`} />
    </g>
  );
}

/** Readings from one pump-out to the next, each filling after the first from nothing. */
function stretches({ readings, emptiedMs }: Filling): { ms: number; litres: number }[][] {
  const starts = [Number.NEGATIVE_INFINITY, ...[...emptiedMs].sort((a, b) => a - b)];
  return starts
    .map((from, at) => {
      const until = starts[at + 1] ?? Number.POSITIVE_INFINITY;
      const within = readings.filter(({ ms }) => ms >= from && ms < until);
      return Number.isFinite(from) ? [{ ms: from, litres: 0 }, ...within] : within;
    })
    .filter(({ length }) => length > 0);
}

/** The first of each month in the window, with its name. */
function monthStarts({ fromMs, toMs, timeZone }: Filling, { locale }: Voice): { ms: number; name: string }[] {
  const name = new Intl.DateTimeFormat(locale, { month: 'short', timeZone });
  const starts: { ms: number; name: string }[] = [];
  let before = name.format(fromMs - 1);
  for (let ms = fromMs; ms < toMs; ms += DAY_MS) {
    const month = name.format(ms);
    if (month !== before) starts.push({ ms, name: month });
    before = month;
  }
  return starts;
}
