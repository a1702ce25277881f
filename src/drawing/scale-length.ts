import type { Voice } from '../catalogue/index.ts';
import { METRES_PER_FOOT } from '../units/index.ts';

const STEPS = [1, 2, 5];

/** A round length for a scale bar, in the site's units: as long as fits in `mostPixels`. */
export function scaleLength(
  metresPerPixel: number,
  mostPixels: number,
  voice: Voice,
): { pixels: number; label: string } {
  const unitM = voice.units === 'us' ? METRES_PER_FOOT : 1;
  const most = (metresPerPixel * mostPixels) / unitM;
  const power = Number(`1e${Math.floor(Math.log10(most))}`);
  const round = Math.max(...STEPS.map((step) => step * power).filter((length) => length <= most * (1 + 1e-9)), power);
  return { pixels: (round * unitM) / metresPerPixel, label: lengthLabel(round, voice) };
}

function lengthLabel(length: number, voice: Voice): string {
  if (voice.units === 'us') return voice.say('drawing.feet', { length });
  if (length >= 1000) return voice.say('drawing.kilometres', { length: length / 1000 });
  return voice.say('drawing.metres', { length: { number: length, digits: length < 1 ? 1 : 0 } });
}
