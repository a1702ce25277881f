import type { Voice } from '../catalogue/index.ts';
import type { KitContents, KitsPlan, PlacedKit } from '../kits/index.ts';

const tenths = (minutes: number) => ({ number: minutes, digits: 1 });

/** Minutes of walking, to a tenth: "1.4 min". */
export const walkMinutes = (minutes: number, voice: Voice): string =>
  voice.say('minutes.tenths', { minutes: tenths(minutes) });

const MOST_NAMES = 12;

/** "Fuel island, Wash bay": as many names as fit in a line or two, then "and 9 more". */
export function namesWords(ids: readonly string[], nameOf: (id: string) => string, voice: Voice): string {
  const names = ids.slice(0, MOST_NAMES).map(nameOf).join(', ');
  const count = ids.length - MOST_NAMES;
  return count > 0 ? voice.say('answers.names-and-more', { names, count }) : names;
}

/** The answer in a sentence or two: how far a kit is, and whether that is the best there is. */
export function kitsSentences(
  { kits, meanMinutes, worstMinutes, gap, beyond }: KitsPlan,
  withinMinutes: number | undefined,
  nameOf: (id: string) => string,
  voice: Voice,
): string[] {
  const places = kits.map(({ spot, at }) =>
    spot === null ? `${at[0].toFixed(5)}, ${at[1].toFixed(5)}` : nameOf(spot),
  );
  const sentences = [
    voice.say('answers.kits', { count: kits.length, places: places.join('; ') }),
    voice.say('answers.kits-walk', { mean: tenths(meanMinutes), worst: tenths(worstMinutes) }),
  ];
  if (withinMinutes !== undefined) {
    const minutes = tenths(withinMinutes);
    sentences.push(
      beyond.length === 0
        ? voice.say('answers.kits-within', { minutes })
        : voice.say('answers.kits-beyond', { minutes, zones: namesWords(beyond, nameOf, voice) }),
    );
  }
  sentences.push(
    gap === 0 ? voice.say('answers.kits-best') : voice.say('answers.kits-gap', { percent: tenths(100 * gap) }),
  );
  return sentences;
}

/** What to do, first: "Put kits at Gate lodge wall and North light mast." */
export const newKitsSentence = (places: readonly string[], voice: Voice): string =>
  places.length === 0
    ? voice.say('answers.no-new-kit')
    : voice.say('answers.put-kits', { count: places.length, places: { list: places } });

/** Digits that tell walks apart: one, or two where they lie close together. */
export const walkDigits = (minutes: readonly number[]): number =>
  Math.max(...minutes) - Math.min(...minutes) < 0.5 ? 2 : 1;

/** Why a kit stands here: what the mean walk would be without it. Empty where it is the only one. */
export function whyHereSentence({ meanWithout }: PlacedKit, meanMinutes: number, voice: Voice): string {
  if (meanWithout === null) return '';
  const [without, now] = [meanWithout, meanMinutes].map((minutes) =>
    voice.number(minutes, walkDigits([meanWithout, meanMinutes])),
  );
  return without === now ? voice.say('answers.kit-stays') : voice.say('answers.kit-helps', { without, now });
}

/** What a kit holds, in a line: "sorbent for 118 gal, 1 drain cover, 1 plug, 5 booms". */
export function contentsWords({ sorbentLitres = 0, ...things }: Partial<KitContents>, voice: Voice): string {
  const counted = (['covers', 'plugs', 'booms'] as const).flatMap((what) => {
    const count = things[what] ?? 0;
    return count === 0 ? [] : [voice.say(`things.count-${what}`, { count })];
  });
  const sorbent = sorbentLitres === 0 ? [] : [voice.say('things.sorbent-for', { litres: { litres: sorbentLitres } })];
  return [...sorbent, ...counted].join(', ');
}

/** A usual pace, which the map may change. */
const WALK_M_PER_S = 1.2;

/** What the places rest on. */
export function kitsAssumptions({ spots }: KitsPlan, hasBuildings: boolean, voice: Voice): string[] {
  const speed = { number: WALK_M_PER_S, digits: 1 };
  return [
    voice.say('answers.assume-spots', { count: spots }),
    voice.say(hasBuildings ? 'answers.assume-walk-round' : 'answers.assume-walk-straight', { speed }),
    voice.say('answers.assume-contents'),
  ];
}
