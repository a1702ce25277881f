import type { BlockAnswer, CardStep, ResponseCard } from '../../../block/index.ts';
import type { Text, Told, Voice } from '../../../catalogue/index.ts';
import { told } from '../../../catalogue/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { shortMinutes } from '../../../words/index.ts';
import type { Binder } from '../binder.ts';

/** More ends than this are left to the map. */
const MOST_ENDS = 2;

/** From so many minutes on nobody counts them. */
const DAY_MINUTES = 24 * 60;

/** When oil is somewhere at the soonest, as short as a card has room for. */
export const soonestWords = (minutes: number | null, voice: Voice): string =>
  minutes !== null && minutes > DAY_MINUTES ? voice.say('cards.over-a-day') : shortMinutes(minutes, voice);

/** Where the oil ends up, with its soonest minutes in both weathers. */
export function whereItGoes({ dry, rain }: ResponseCard, { nameOf, voice }: Binder): string {
  const { arrivals, separators, outfalls } = dry;
  if (arrivals.length === 0) return '';
  const minutesIn = ({ arrivals }: ResponseCard['dry']) => new Map(arrivals.map(({ id, minutes }) => [id, minutes]));
  const [dryMinutes, rainMinutes] = [minutesIn(dry), minutesIn(rain)];
  const at = (id: string) => ({
    place: nameOf(id),
    dry: soonestWords(dryMinutes.get(id) ?? 0, voice),
    rain: soonestWords(rainMinutes.get(id) ?? 0, voice),
  });
  const ends = [
    ...outfalls.map(({ id, pastSeparator }) =>
      voice.say(pastSeparator ? 'cards.end' : 'cards.end-unprotected', at(id)),
    ),
    ...separators.map((id) => voice.say('cards.end', at(id))),
  ];
  if (ends.length === 0) return voice.say('cards.no-end');
  const told = { ends: ends.slice(0, MOST_ENDS).join('; ') };
  return voice.say(ends.length > MOST_ENDS ? 'cards.unblocked-more' : 'cards.unblocked', told);
}

/** How much is taken to be spilled, and why. */
export function amountOf({ litres, litresFrom, largestOf }: ResponseCard): Told {
  const volume = { litres };
  if (litresFrom === 'asked') return told('cards.amount-asked', { volume });
  return litresFrom === 'largest' && largestOf
    ? told('cards.amount-largest', { volume, fluid: told(`things.fluid-${largestOf}`) })
    : told('cards.amount-default', { volume });
}

/** What the card rests on, in one small paragraph. */
export function assumedWords(card: ResponseCard, { others }: Pick<SiteMap, 'others'>, voice: Voice): string {
  const crews = others.filter(({ properties }) => properties.kind === 'crew').map(({ id }) => id);
  const posts: Text = crews.length > MOST_POSTS ? told('cards.nearest-post') : { choice: crews };
  const hands = crews.length > 0 ? voice.say('cards.hands-crew', { posts }) : voice.say('cards.hands');
  return [
    voice.say('cards.assumed', { amount: amountOf(card), minutes: Math.round(card.dry.spill.overMinutes) }),
    voice.say('cards.rain', { rain: { mmPerHour: card.rainMmPerH } }),
    voice.say('cards.oil-times'),
    card.alone ? hands : voice.say('cards.no-crew'),
    ...card.all.dry.assumed.map(voice.tell),
    ...card.safety.always.filter(({ told }) => LAST_CARE.includes(told)).map(voice.tell),
  ].join(' ');
}

const MOST_POSTS = 3;

/** Words that hold for what comes after the steps; whom to tell stands among the calls. */
const LAST_CARE: readonly string[] = ['spill.caution-advice'];
const CLAUSES = ['clear', 'trained', 'traffic', 'gloves', 'oil', 'lid', 'lid-fuel', 'above', 'bank'] as const;

/** What each of a step's own words of safety comes to in a list of several. */
const CLAUSES_OF: Readonly<Record<string, readonly (typeof CLAUSES)[number][]>> = {
  'spill.before-device': ['clear'],
  'spill.before-trained': ['trained'],
  'spill.before-grate': ['traffic', 'gloves'],
  'spill.before-ground': ['traffic', 'gloves', 'oil'],
  'spill.before-lid': ['lid', 'above'],
  'spill.before-lid-fuel': ['lid-fuel', 'above'],
  'spill.before-valve': ['above'],
  'spill.before-bank': ['bank'],
};

/** What protects people ahead of these steps, in one sentence that says nothing twice; empty where nothing has to be said. */
export function safetyBefore(steps: readonly CardStep[], voice: Voice): string {
  const told = new Set(steps.flatMap(({ before }) => before.flatMap((each) => CLAUSES_OF[each.told])));
  const clauses = CLAUSES.filter((each) => told.has(each)).map((each) => voice.say(`cards.safe-${each}`));
  return clauses.length === 0 ? '' : voice.say('cards.safe-first', { clauses: { list: clauses } });
}

const WATCHED = ['check-ponds', 'will-flood', 'watch-outlet'] as const;

/** What to see to while controls stand, each kind once with all its places. */
export function watchWords(answers: readonly BlockAnswer[], voice: Voice): string[] {
  const words = answers.flatMap(({ whilePlacing }) => whilePlacing);
  // That the yard fills behind what is closed says more than that it must be watched.
  const filling = new Set(
    answers.flatMap(({ backingUp }) => backingUp.flatMap(({ at, minutes }) => (minutes === null ? [] : [at]))),
  );
  const gathered = WATCHED.flatMap((kind) => {
    const all = words.filter(({ told }) => told === `block.${kind}`).map(({ values }) => String(values?.at));
    const places = [...new Set(all)].filter((at) => kind !== 'watch-outlet' || !filling.has(at));
    return places.length === 0 ? [] : [voice.say(`cards.${kind}`, { places: { list: places } })];
  });
  const rest = words.filter(({ told }) => !WATCHED.some((kind) => told === `block.${kind}`));
  return [...rest.map(voice.tell), ...gathered];
}

/** What a kit holds, in words; empty where the map does not say. What the map calls otherwise stands as it is there. */
export function contentsWords(contents: Readonly<Record<string, number>> | undefined, voice: Voice): string {
  return Object.entries(contents ?? {})
    .map(([what, amount]) => {
      if (what === 'sorbentLitres') return voice.say('things.sorbent-for', { litres: { litres: amount } });
      if (what === 'socks') return voice.say('cards.kit-socks', { count: amount });
      const counted = COUNTED.find((each) => each === what);
      return counted === undefined
        ? voice.say('cards.kit-other', { count: amount, what })
        : voice.say(`things.count-${counted}`, { count: amount });
    })
    .join(', ');
}

const COUNTED = ['covers', 'plugs', 'booms', 'berms'] as const;
