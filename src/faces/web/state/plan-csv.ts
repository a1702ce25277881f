import { csvRows } from '../../../algorithms/index.ts';
import type { KitContents, PlacedKit } from '../../../kits/index.ts';
import type { MeasureEffect } from '../../../measures/index.ts';
import { LITRES_PER_GALLON, type Units } from '../../../units/index.ts';
import { measureName } from '../../../words/index.ts';
import { say, voice } from './voice.ts';

interface Plan {
  kits: readonly (PlacedKit & { place: string })[];
  measures: readonly (MeasureEffect & { place: string })[];
}

type Cell = string | number | null | undefined;

/**
 * What to buy, as CSV (RFC 4180, with a byte order mark so that spreadsheets read it as UTF-8): new kits with what goes
 * into them, what kits that stand lack, and measures. Money is that of the first year; empty where the map names none.
 */
export function shoppingList(
  { kits, measures }: Plan,
  { currency, units }: { currency: string; units: Units },
): string {
  const unit = units === 'us' ? 'gal' : 'L';
  const sorbent = (litres: number | undefined) =>
    litres === undefined ? null : Number((litres / (units === 'us' ? LITRES_PER_GALLON : 1)).toPrecision(3));
  const holds = ({ sorbentLitres, covers, plugs, booms }: Partial<KitContents>): Cell[] => [
    sorbent(sorbentLitres),
    covers,
    plugs,
    booms,
  ];
  const kitRow = ({
    place,
    spot,
    at: [lon, lat],
    isStanding,
    cost,
    contents,
    refill,
  }: Plan['kits'][number]): Cell[] => [
    say(isStanding ? (refill ? 'state.buy-refill' : 'state.buy-look') : 'state.buy-new'),
    place,
    spot,
    lat.toFixed(6),
    lon.toFixed(6),
    ...holds(refill ?? contents),
    isStanding ? null : cost,
  ];
  const rows: Cell[][] = [
    [
      say('state.buy-what'),
      say('state.buy-where'),
      say('state.buy-id'),
      say('state.buy-latitude'),
      say('state.buy-longitude'),
      say('state.buy-sorbent', { unit }),
      say('state.buy-covers'),
      say('state.buy-plugs'),
      say('state.buy-booms'),
      say('state.buy-cost', { currency }),
    ],
    ...kits.filter(({ refill }) => refill === null || Object.keys(refill).length > 0).map(kitRow),
    ...measures.map(({ measure, place, at, cost }): Cell[] => [
      measureName(measure, voice.value),
      place,
      at,
      ...Array<Cell>(6).fill(null),
      cost,
    ]),
  ];
  return `\uFEFF${csvRows(rows)}`;
}
