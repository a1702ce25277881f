import type { KitContents, KitsAnswer } from '../../kits/index.ts';
import { formatNumber, formatVolume, type Units } from '../../units/index.ts';

/** Minutes of walking, to a tenth: "1.4 min". */
export const walkMinutes = (minutes: number): string => `${formatNumber(minutes, 1)} min`;

/** The answer in a sentence or two: how far a kit is, and whether that is the best there is. */
export function kitsSentences(
  { kits, meanMinutes, worstMinutes, gap, beyond }: KitsAnswer,
  withinMinutes: number | undefined,
  nameOf: (id: string) => string,
): string[] {
  const where = kits.map(({ spot, at }) => (spot === null ? `${at[0].toFixed(5)}, ${at[1].toFixed(5)}` : nameOf(spot)));
  const sentences = [
    `${kits.length === 1 ? 'One kit' : `${kits.length} kits`}: ${where.join('; ')}.`,
    `A kit is then ${walkMinutes(meanMinutes)} away on average, ${walkMinutes(worstMinutes)} from the farthest zone.`,
  ];
  if (withinMinutes !== undefined) {
    sentences.push(
      beyond.length === 0
        ? `Every zone has one within ${walkMinutes(withinMinutes)}.`
        : `Beyond ${walkMinutes(withinMinutes)}: ${beyond.map(nameOf).join(', ')}.`,
    );
  }
  sentences.push(
    gap === 0
      ? 'No other choice of spots does better; that is proved.'
      : `It may be off the best by ${(100 * gap).toFixed(1)} %.`,
  );
  return sentences;
}

/** What a kit holds, in a line: "sorbent for 118 gal, 1 cover, 1 plug, 5 booms". */
export function contentsWords({ sorbentLitres, covers, plugs, booms }: Partial<KitContents>, units: Units): string {
  const count = (number: number | undefined, one: string, many: string) =>
    number === undefined || number === 0 ? [] : [`${number} ${number === 1 ? one : many}`];
  return [
    ...(sorbentLitres === undefined || sorbentLitres === 0
      ? []
      : [`sorbent for ${formatVolume(sorbentLitres, units)}`]),
    ...count(covers, 'cover', 'covers'),
    ...count(plugs, 'plug', 'plugs'),
    ...count(booms, 'boom', 'booms'),
  ].join(', ');
}

/** What the places rest on. */
export function kitsAssumptions({ spots }: KitsAnswer, hasBuildings: boolean): string[] {
  return [
    `${spots} places were looked at. Each zone counts by the oil it is expected to release, and walks from its middle.`,
    hasBuildings
      ? 'Walking at 1.2 m/s unless the map says otherwise, round the buildings on the map.'
      : 'Walking at 1.2 m/s unless the map says otherwise, a quarter longer than the straight line.',
    'Contents are for the largest container a kit serves (a drum where the map lists none): a guess to be edited.',
  ];
}
