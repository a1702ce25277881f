import type { Share } from '../../../sources/index.ts';

const percent = (part: number) => `${(part * 100).toFixed(1)}%`;

/** A share on the line from 0 to 100 %: the range as a bar, the share itself as a tick. The words stand beside it. */
export function IntervalBar({ share, low, high }: Pick<Share, 'share' | 'low' | 'high'>) {
  return (
    <svg class="interval" aria-hidden="true">
      <line class="interval-track" x1="0" x2="100%" y1="9" y2="9" />
      <line class="interval-end" x1="50%" x2="50%" y1="5" y2="13" />
      <rect
        class="interval-range"
        x={percent(low)}
        y="4"
        width={percent(Math.max(high - low, 0.006))}
        height="10"
        rx="2"
      />
      <rect class="interval-share" x={percent(share)} y="0" width="3.5" height="18" />
    </svg>
  );
}
