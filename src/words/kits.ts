import type { Voice } from '../catalogue/index.ts';
import type { KitContents, KitsPlan, PlacedKit } from '../kits/index.ts';

/** Minutes of walking, to a tenth: "1.4 min". */
export const walkMinutes = (minutes: number, voice: Voice): string => `${voice.number(minutes, 1)} min`;

const MOST_NAMES = 12;

/** "Fuel island, Wash bay": as many names as fit in a line or two, then "and 9 more". */
export const namesWords = (ids: readonly string[], nameOf: (id: string) => string, _voice: Voice): string =>
  ids.length > MOST_NAMES
    ? `${ids.slice(0, MOST_NAMES).map(nameOf).join(', ')} and ${ids.length - MOST_NAMES} more`
    : ids.map(nameOf).join(', ');

/** The answer in a sentence or two: how far a kit is, and whether that is the best there is. */
export function kitsSentences(
  { kits, meanMinutes, worstMinutes, gap, beyond }: KitsPlan,
  withinMinutes: number | undefined,
  nameOf: (id: string) => string,
  voice: Voice,
): string[] {
  const where = kits.map(({ spot, at }) => (spot === null ? `${at[0].toFixed(5)}, ${at[1].toFixed(5)}` : nameOf(spot)));
  const sentences = [
    `${kits.length === 1 ? 'One kit' : `${kits.length} kits`}: ${where.join('; ')}.`,
    `A kit is then ${walkMinutes(meanMinutes, voice)} away on average, ${walkMinutes(worstMinutes, voice)} from the farthest zone.`,
  ];
  if (withinMinutes !== undefined) {
    sentences.push(
      beyond.length === 0
        ? `Every zone has one within ${walkMinutes(withinMinutes, voice)}.`
        : `Beyond ${walkMinutes(withinMinutes, voice)}: ${namesWords(beyond, nameOf, voice)}.`,
    );
  }
  sentences.push(
    gap === 0
      ? 'No other choice of spots does better; that is proved.'
      : `It may be off the best by ${(100 * gap).toFixed(1)} %.`,
  );
  return sentences;
}

/** What to do, first: "Put kits at Gate lodge wall and North light mast." */
export function newKitsSentence(places: readonly string[], voice: Voice): string {
  if (places.length === 0) return 'No new kit is needed.';
  return `Put ${places.length === 1 ? 'a kit' : 'kits'} at ${voice.list(places)}.`;
}

/** Digits that tell walks apart: one, or two where they lie close together. */
export const walkDigits = (minutes: readonly number[]): number =>
  Math.max(...minutes) - Math.min(...minutes) < 0.5 ? 2 : 1;

/** Why a kit stands here: what the mean walk would be without it. Empty where it is the only one. */
export function whyHereSentence({ meanWithout }: PlacedKit, meanMinutes: number, voice: Voice): string {
  if (meanWithout === null) return '';
  const [without, now] = [meanWithout, meanMinutes].map((minutes) =>
    voice.number(minutes, walkDigits([meanWithout, meanMinutes])),
  );
  return without === now
    ? 'Without it the mean walk stays about the same.'
    : `Without it the mean walk is ${without} min instead of ${now}.`;
}

/** What a kit holds, in a line: "sorbent for 118 gal, 1 cover, 1 plug, 5 booms". */
export function contentsWords({ sorbentLitres, covers, plugs, booms }: Partial<KitContents>, voice: Voice): string {
  const count = (number: number | undefined, one: string, many: string) =>
    number === undefined || number === 0 ? [] : [`${number} ${number === 1 ? one : many}`];
  return [
    ...(sorbentLitres === undefined || sorbentLitres === 0
      ? []
      : [`sorbent for ${voice.text({ litres: sorbentLitres })}`]),
    ...count(covers, 'cover', 'covers'),
    ...count(plugs, 'plug', 'plugs'),
    ...count(booms, 'boom', 'booms'),
  ].join(', ');
}

/** What the places rest on. */
export function kitsAssumptions({ spots }: KitsPlan, hasBuildings: boolean, _voice: Voice): string[] {
  return [
    `${spots} places were looked at. Each zone counts by the oil it is expected to release, and walks from its middle.`,
    hasBuildings
      ? 'Walking at 1.2 m/s unless the map says otherwise, round the buildings on the map.'
      : 'Walking at 1.2 m/s unless the map says otherwise, a quarter longer than the straight line.',
    'Contents are for the largest container a kit serves (a drum where the map lists none): a guess to be edited.',
  ];
}
