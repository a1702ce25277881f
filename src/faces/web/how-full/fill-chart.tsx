import { useEffect, useRef } from 'preact/hooks';
import type { DueVisit } from '../../../log-book/index.ts';
import { DAY_MS, instantOf } from '../../../site-map/index.ts';
import { MM_PER_INCH } from '../../../units/index.ts';
import type { Reading } from '../compute/protocol.ts';
import { look } from '../state/look.ts';
import { say, voice } from '../state/voice.ts';
import { units, yard } from '../state/yard.ts';

const HEIGHT = 230;
/** Readings before this long ago are in the log book, and not in the chart. */
const MARGIN_MS = 30 * DAY_MS;
const SHOWN_MS = 2 * 365 * DAY_MS;

/** What is drawn, in time order: seconds, and thicknesses in the unit of the screen; null where a row has none. */
type Column = (number | null)[];
export interface FillColumns {
  seconds: number[];
  read: Column;
  middle: Column;
  low: Column;
  high: Column;
  limit: Column;
}

/** The rows of the chart; null where the map does not say how large the separator is, or nobody read it. */
export function fillColumns(
  { readAt, emptiedAt, limitLitres, fillByDays, oilLitres }: DueVisit,
  {
    readings,
    oilLimitMm,
    timeZone,
    mmPerUnit,
  }: {
    readings: readonly Reading[];
    oilLimitMm: number;
    timeZone: string;
    mmPerUnit: number;
  },
): FillColumns | null {
  if (limitLitres === null || readings.length === 0) return null;
  const thickness = (litres: number) => (litres / limitLitres) * (oilLimitMm / mmPerUnit);
  const last = readings[readings.length - 1].ms;
  const emptied = emptiedAt === null ? undefined : instantOf(emptiedAt, timeZone);
  const from = emptied ?? (readAt === null ? undefined : instantOf(readAt, timeZone)) ?? last;
  type Row = { ms: number; read?: number; middle?: number; low?: number; high?: number };
  const rows: Row[] = [
    ...readings.filter(({ ms }) => ms > last - SHOWN_MS).map(({ ms, litres }) => ({ ms, read: thickness(litres) })),
    ...(emptied !== undefined && oilLitres !== null ? [{ ms: emptied, read: thickness(oilLitres) }] : []),
    ...fillByDays.map(({ days, litres, low, high }) => ({
      ms: from + days * DAY_MS,
      middle: thickness(litres),
      low: thickness(low),
      high: thickness(high),
    })),
  ];
  // One reading alone would be a dot without a line or a limit.
  if (rows.length < 2) rows.push({ ms: from - MARGIN_MS }, { ms: from + MARGIN_MS });
  // A reading and the forecast that starts from it are one row.
  const byTime = new Map<number, Row>();
  for (const row of rows) byTime.set(row.ms, { ...byTime.get(row.ms), ...row });
  const inTime = [...byTime.values()].sort((a, b) => a.ms - b.ms);
  const column = (field: 'read' | 'middle' | 'low' | 'high') => inTime.map((row) => row[field] ?? null);
  return {
    seconds: inTime.map(({ ms }) => ms / 1000),
    read: column('read'),
    middle: column('middle'),
    low: column('low'),
    high: column('high'),
    limit: inTime.map(() => oilLimitMm / mmPerUnit),
  };
}

/** Oil in a separator: what was read, what it is likely to hold over the next quarter, and the limit. */
export function FillChart({
  visit,
  readings,
  oilLimitMm,
}: {
  visit: DueVisit;
  readings: readonly Reading[];
  oilLimitMm: number;
}) {
  const place = useRef<HTMLDivElement>(null);
  const isUs = units.value === 'us';
  const timeZone = yard.value?.map.site.timeZone ?? 'UTC';
  const columns = fillColumns(visit, { readings, oilLimitMm, timeZone, mmPerUnit: isUs ? MM_PER_INCH : 1 });
  const latest = useRef(columns);
  latest.current = columns;
  const drawn = JSON.stringify(columns);
  const shownLook = look.value;
  const { locale } = voice.value;
  useEffect(() => {
    const box = place.current;
    if (!box || drawn === 'null') return undefined;
    let isOver = false;
    let end = () => {};
    import('./draw-fill.ts').then(
      ({ drawFill }) => {
        if (!isOver && latest.current) end = drawFill(box, latest.current, { height: HEIGHT, timeZone, locale });
      },
      // Without a network the words of the chart stand alone.
      () => {},
    );
    return () => {
      isOver = true;
      end();
    };
  }, [drawn, shownLook, timeZone, locale]);
  if (!columns) return null;
  const highest = visit.fillByDays.at(-1);
  const perLitre = visit.limitLitres ? oilLimitMm / visit.limitLitres : 0;
  const seen = {
    count: readings.length,
    last: { millimetres: (readings.at(-1)?.litres ?? 0) * perLitre },
    limit: { millimetres: oilLimitMm },
  };
  const words = highest
    ? say('full-screen.chart-forecast', {
        ...seen,
        days: highest.days,
        low: { millimetres: highest.low * perLitre },
        high: { millimetres: highest.high * perLitre },
      })
    : say('full-screen.chart-words', seen);
  return (
    <figure class="fill-chart">
      <figcaption>{say(isUs ? 'full-screen.oil-in-inches' : 'full-screen.oil-in-mm')}</figcaption>
      <div ref={place} role="img" aria-label={words} />
      <ul class="chart-key">
        <li class="key-read">{say('full-screen.key-read')}</li>
        {columns.middle.some((each) => each !== null) && <li class="key-band">{say('full-screen.key-likely')}</li>}
        <li class="key-limit">{say('full-screen.key-limit')}</li>
      </ul>
    </figure>
  );
}
