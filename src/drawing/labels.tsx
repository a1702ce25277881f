import type { Callout } from './callouts.ts';
import type { DrawnYard, Timer } from './drawn.ts';
import type { Flat } from './flat.ts';
import { placeLabels } from './place-labels.ts';
import type { PointLabel } from './point-labels.ts';
import { rampStep } from './ramp.ts';
import { LINE_PX, type ZoneLabel } from './zone-labels.ts';

/** Everything that is written on the map. */
export function Labels(drawn: DrawnYard) {
  const { callouts, zones, points, places } = placeLabels(drawn);
  const shares = new Map(drawn.answer?.zones.map(({ id, share }) => [id, share]));
  return (
    <g class="labels">
      {places.map((label) => (
        <PointWords key={label.text} label={label} look="place-label" />
      ))}
      {zones.map((label) => (
        <ZoneWords key={label.id} label={label} share={shares.get(label.id)} />
      ))}
      {points.map((label) => (
        <PointWords key={label.text} label={label} look="point-label" timer={drawn.timer} />
      ))}
      {callouts.map((callout) => (
        <Tag key={`${callout.kind} ${callout.at} ${callout.text}`} {...callout} />
      ))}
    </g>
  );
}

function ZoneWords({ label: { x, top, lines }, share }: { label: ZoneLabel; share: number | undefined }) {
  let y = top;
  return (
    <g class={share === undefined ? 'zone-label' : `zone-label ramp-${rampStep(share)}`}>
      {lines.map(({ text, kind }) => {
        y += LINE_PX[kind];
        return (
          <text key={text} class={`zone-${kind}`} x={x.toFixed(1)} y={(y - LINE_PX[kind] * 0.24).toFixed(1)}>
            {text}
          </text>
        );
      })}
    </g>
  );
}

function PointWords({ label, look, timer }: { label: PointLabel; look: string; timer?: Timer }) {
  const { text, x, y, anchor, minutes } = label;
  return (
    <text class={look} x={x.toFixed(1)} y={(y + 4.5).toFixed(1)} text-anchor={anchor}>
      {text}
      {minutes !== undefined && timer && <When minutes={minutes} timer={timer} />}
    </text>
  );
}

/** Redraws itself as time goes by. */
function When({ minutes, timer }: { minutes: number; timer: Timer }) {
  return <tspan class="when">{` ${timer.said(minutes)}`}</tspan>;
}

/** How far from the place its sign reaches, where the line from its tag ends. */
const SIGN_REACH = { act: 19, lid: 9, seen: 9 };

function leader([x, y]: Flat, [toX, toY]: Flat, reach: number): string {
  const length = Math.hypot(toX - x, toY - y);
  if (length <= reach) return '';
  const part = 1 - reach / length;
  return `M${x.toFixed(1)} ${y.toFixed(1)}L${(x + (toX - x) * part).toFixed(1)} ${(y + (toY - y) * part).toFixed(1)}`;
}

/** How far above its place the middle of a tab or a drop stands: a line from above ends there and not across it. */
const SIGN_UP = 16;

function Tag({ kind, text, place, box: { x, y, width, height } }: Callout) {
  const isAbove = kind !== 'act' && y < place[1] - SIGN_UP;
  const to: Flat = isAbove ? [place[0], place[1] - SIGN_UP] : place;
  return (
    <g class={`tag ${kind}`}>
      <path class="tag-leader" d={leader([x, y], to, SIGN_REACH[kind])} />
      <rect
        x={(x - width / 2).toFixed(1)}
        y={(y - height / 2).toFixed(1)}
        width={width.toFixed(1)}
        height={height}
        rx="4"
      />
      <text x={x.toFixed(1)} y={(y + 5).toFixed(1)} text-anchor="middle">
        {text}
      </text>
    </g>
  );
}
