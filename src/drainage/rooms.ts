import type { Structure } from '../site-map/index.ts';

interface Tank {
  lengthM?: number | undefined;
  widthM?: number | undefined;
  waterDepthM?: number | undefined;
}

const LITRES_PER_M3 = 1000;

/** 0 where one of the three is not stated. */
const tankLitres = ({ lengthM = 0, widthM = 0, waterDepthM = 0 }: Tank): number =>
  lengthM * widthM * waterDepthM * LITRES_PER_M3;

/**
 * Litres of water that stand in a separator: by its own length, width and depth of water, else by those of its chambers
 * that state all three. 0 where the map states neither, and for everything else. O(chambers).
 */
export function separatorLitres({ kind, properties }: Structure): number {
  if (kind !== 'separator') return 0;
  const whole = tankLitres(properties);
  return whole > 0 ? whole : (properties.chambers ?? []).reduce((sum, chamber) => sum + tankLitres(chamber), 0);
}

/**
 * Litres that come in before the first goes on: those below the outlet, in dry weather only, since in rain they are there
 * already, and those at which a pump starts, which empties its well whatever the weather. O(1).
 */
export function litresToFill({ kind, properties }: Structure, isDry: boolean): number {
  const well = kind === 'manhole' ? (properties.pumped?.startLitres ?? 0) : 0;
  return well + (isDry ? (properties.sumpLitres ?? 0) : 0);
}
