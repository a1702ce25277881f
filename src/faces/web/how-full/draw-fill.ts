import './draw-fill.css';
import uPlot from 'uplot';
import type { FillColumns } from './fill-chart.tsx';

/** Draws the chart into a box as wide as that is, by day and by night; what comes back takes it away. */
export function drawFill(
  box: HTMLElement,
  { seconds, read, middle, low, high, limit }: FillColumns,
  { height, timeZone, locale }: { height: number; timeZone: string; locale: string },
): () => void {
  let chart: uPlot | undefined;
  const numbers = new Intl.NumberFormat(locale);
  const draw = () => {
    chart?.destroy();
    const style = getComputedStyle(box);
    const colour = (name: string) => style.getPropertyValue(name).trim();
    const [ink, soft, rule, range] = ['--ink', '--ink-soft', '--rule', '--range'].map(colour);
    const font = `14px ${style.fontFamily}`;
    const axis = { stroke: soft, font, grid: { stroke: rule, width: 1 }, ticks: { stroke: rule, width: 1 } };
    chart = new uPlot(
      {
        width: Math.max(240, box.clientWidth),
        height,
        legend: { show: false },
        cursor: { show: false },
        tzDate: (second) => uPlot.tzDate(new Date(second * 1000), timeZone),
        scales: { y: { range: (_, __, most) => [0, most * 1.08] } },
        axes: [
          { ...axis, space: 70, values: dayLabels(locale) },
          { ...axis, size: 46, values: (_, ticks) => ticks.map((each) => numbers.format(each)) },
        ],
        series: [
          {},
          { stroke: 'transparent', points: { show: false }, spanGaps: true },
          { stroke: 'transparent', points: { show: false }, spanGaps: true },
          { stroke: ink, width: 1.5, dash: [5, 5], points: { show: false }, spanGaps: true },
          { stroke: ink, width: 3, points: { show: false } },
          {
            stroke: ink,
            width: 1.5,
            spanGaps: true,
            points: { show: true, size: 9, fill: ink, stroke: ink },
          },
        ],
        bands: [{ series: [1, 2], fill: `color-mix(in srgb, ${range} 45%, transparent)` }],
      },
      [seconds, high, low, middle, limit, read],
      box,
    );
  };
  draw();
  const watch = new ResizeObserver(() => chart?.setSize({ width: Math.max(240, box.clientWidth), height }));
  watch.observe(box);
  return () => {
    watch.disconnect();
    chart?.destroy();
  };
}

const YEAR_SECONDS = 365 * 24 * 3600;

/** "May 12"; over more than a year "May 2026". */
const dayLabels = (locale: string) => (chart: uPlot, seconds: number[]) => {
  const { min = 0, max = 0 } = chart.scales.x;
  const isLong = max - min > YEAR_SECONDS;
  const format = new Intl.DateTimeFormat(
    locale,
    isLong ? { month: 'short', year: 'numeric' } : { day: 'numeric', month: 'short' },
  );
  return seconds.map((each) => format.format(each * 1000));
};
