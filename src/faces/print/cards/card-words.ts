import type { ResponseCard } from '../../../block/index.ts';
import type { Text, Told, Voice } from '../../../catalogue/index.ts';
import { told } from '../../../catalogue/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { shortMinutes } from '../../../words/index.ts';
import type { Binder } from '../binder.ts';

/** More ends than this are left to the map. */
const MOST_ENDS = 4;

/** Where the oil ends up, with its soonest minutes in both weathers. */
export function whereItGoes({ dry, rain }: ResponseCard, { nameOf, voice }: Binder): string {
  const { arrivals, separators, outfalls } = dry;
  if (arrivals.length === 0) return '';
  const minutesIn = ({ arrivals }: ResponseCard['dry']) => new Map(arrivals.map(({ id, minutes }) => [id, minutes]));
  const [dryMinutes, rainMinutes] = [minutesIn(dry), minutesIn(rain)];
  const at = (id: string) => ({
    place: nameOf(id),
    dry: shortMinutes(dryMinutes.get(id) ?? 0, voice),
    rain: shortMinutes(rainMinutes.get(id) ?? 0, voice),
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
  ].join(' ');
}

const MOST_POSTS = 3;

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
