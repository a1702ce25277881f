import type { CardStep, CardTiming, ResponseCard } from '../../../block/index.ts';
import type { Text, Told, Voice } from '../../../catalogue/index.ts';
import { told } from '../../../catalogue/index.ts';
import type { SiteMap, Structure } from '../../../site-map/index.ts';
import { shortMinutes, takesMinutes } from '../../../words/index.ts';
import type { Binder } from '../binder.ts';

/** What the plan is, in a sentence or two, above its steps. */
export function planHeading({ plan, fluid, dry: { block } }: ResponseCard, voice: Voice): string {
  if (fluid === 'gasoline') return voice.say('cards.plan-gasoline');
  if (block.inlets.length === 0) return voice.say('cards.plan-drains-nowhere');
  if (plan.length === 0) {
    return voice.say(block.isTooLate || block.plan.waters.length > 0 ? 'cards.plan-none' : 'cards.plan-not-worth');
  }
  return block.isTooLate ? voice.say('cards.plan-too-late') : voice.say('cards.plan-steps', { count: plan.length });
}

/** Under the steps: what is left when the first of them was missed, and what a late block is still good for. */
export function planFootnote({ plan, ifMissed, dry: { block, spill } }: ResponseCard, voice: Voice): string {
  if (plan.length === 0) return '';
  if (block.isTooLate) {
    const others = plan.slice(1).map(({ ring }) => String(ring));
    return others.length === 0
      ? voice.say('cards.holds-the-rest')
      : voice.say('cards.holds-the-rest-also', { steps: { list: others } });
  }
  if (ifMissed.length > 0) return '';
  const waters = spill.outfalls.map(({ id }) => id);
  return waters.length === 0
    ? voice.say('cards.no-other-place')
    : voice.say('cards.no-other-place-water', { waters: { list: waters } });
}

/** Whether the crew is in time, in two or three words; empty while time is not counted. */
export function inTimeWords({ oilMinutes, isInTime }: CardTiming, crewMinutes: number | null, voice: Voice): string {
  if (oilMinutes === null) return voice.say('cards.never-there');
  if (isInTime === null || crewMinutes === null) return '';
  if (isInTime) return voice.say('cards.in-time');
  const late = crewMinutes - oilMinutes;
  return late <= 0 ? voice.say('cards.only-just') : voice.say('cards.late', { minutes: takesMinutes(late, voice) });
}

/** What to watch at a covered grate; empty where it is sure to pond, and for every other control. */
export function coverNote({ control, at }: CardStep, structures: readonly Structure[], voice: Voice): string {
  const { setting, spillsTo: next } = structures.find(({ id }) => id === at)?.properties ?? {};
  if (control !== 'cover' || setting === 'sag') return '';
  if (setting === 'on-grade')
    return next === undefined ? voice.say('cards.runs-on-downhill') : voice.say('cards.runs-on-to', { next });
  return next === undefined ? voice.say('cards.see-it-ponds') : voice.say('cards.see-it-ponds-or', { next });
}

/** More ends than this are left to the map. */
const MOST_ENDS = 4;

/** Where the oil ends up, with its soonest minutes in both weathers. */
export function whereItGoes({ dry, rain }: ResponseCard, { nameOf, voice }: Binder): string {
  const { arrivals, separators, outfalls } = dry.spill;
  if (arrivals.length === 0) return '';
  const minutesIn = ({ spill }: ResponseCard['dry']) => new Map(spill.arrivals.map(({ id, minutes }) => [id, minutes]));
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
  const { isTimed, isTooLate, marginMinutes: margin } = card.dry.block;
  const crews = others.filter(({ properties }) => properties.kind === 'crew').map(({ id }) => id);
  const posts: Text = crews.length > MOST_POSTS ? told('cards.nearest-post') : { choice: crews };
  return [
    voice.say('cards.assumed', { amount: amountOf(card) }),
    voice.say('cards.rain', { rain: { mmPerHour: card.rainMmPerH } }),
    voice.say('cards.oil-times'),
    isTimed
      ? voice.say(isTooLate ? 'cards.crew-each' : 'cards.crew-in-order', { posts, margin })
      : voice.say('cards.no-crew'),
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
