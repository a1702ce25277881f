import { formatNumber, METRES_PER_FOOT, type Units } from '../units/index.ts';

const STEPS = [1, 2, 5];

/** A round length for a scale bar, in the site's units: as long as fits in `mostPixels`. */
export function scaleLength(
  metresPerPixel: number,
  { units, mostPixels }: { units: Units; mostPixels: number },
): { pixels: number; label: string } {
  const unitM = units === 'us' ? METRES_PER_FOOT : 1;
  const most = (metresPerPixel * mostPixels) / unitM;
  const power = Number(`1e${Math.floor(Math.log10(most))}`);
  const round = Math.max(...STEPS.map((step) => step * power).filter((length) => length <= most * (1 + 1e-9)), power);
  return { pixels: (round * unitM) / metresPerPixel, label: lengthLabel(round, units) };
}

function lengthLabel(length: number, units: Units): string {
  if (units === 'us') return `${formatNumber(length)} ft`;
  if (length >= 1000) return `${formatNumber(length / 1000)} km`;
  return `${formatNumber(length, length < 1 ? 1 : 0)} m`;
}
