import type { CardStep, CardTiming, ResponseCard } from '../../../block/index.ts';
import type { Fluid, SiteMap, Structure } from '../../../site-map/index.ts';
import { formatRain, formatVolume, type Units } from '../../../units/index.ts';
import { listWords, saidMinutes, takesMinutes } from '../../../words/index.ts';

export const fluidWord = (fluid: Fluid): string => (fluid === 'other' ? 'another fluid' : fluid.replace('-', ' '));

/** What the plan is, in a sentence or two, above its steps. */
export function planHeading({ plan, fluid, dry: { block } }: ResponseCard): string {
  if (fluid === 'gasoline') return 'No plan: no one goes near gasoline to block it.';
  if (block.inlets.length === 0) return 'Nothing drains from here. Take the oil up where it lies.';
  if (plan.length === 0) {
    return block.isTooLate || block.plan.waters.length > 0
      ? 'Nothing here can be blocked. Call now.'
      : 'No block pays here. Take the oil up and clean what it got into.';
  }
  if (block.isTooLate) return 'No place is sure to be blocked before the oil is there. Call, then go all the same.';
  return plan.length === 1 ? 'Block here.' : 'Block here, in this order.';
}

/** Under the steps: what is left when the first of them was missed, and what a late block is still good for. */
export function planFootnote(card: ResponseCard): string {
  const { plan, ifMissed, dry } = card;
  if (plan.length === 0) return '';
  if (dry.block.isTooLate) {
    const others =
      plan.length > 1 ? ` With more hands, also ${listWords(plan.slice(1).map(({ ring }) => String(ring)))}.` : '';
    return `Oil comes no sooner than said, and what comes after your block is held.${others}`;
  }
  if (ifMissed.length > 0) return '';
  const waters = reachedWaters(card);
  return `If you miss it, no other place is in time${waters === '' ? '.' : `: oil gets to ${waters}. Call again and say so.`}`;
}

const reachedWaters = ({ dry: { spill } }: ResponseCard) => listWords(spill.outfalls.map(({ id }) => id));

/** Whether the crew is in time, in two or three words; empty while time is not counted. */
export function inTimeWords({ oilMinutes, isInTime }: CardTiming, crewMinutes: number | null): string {
  if (oilMinutes === null) return 'never gets there';
  if (isInTime === null || crewMinutes === null) return '';
  if (isInTime) return 'in time';
  const late = crewMinutes - oilMinutes;
  return late <= 0 ? 'only just' : `${takesMinutes(late)} late`;
}

/** What to watch at a covered grate; empty where it is sure to pond, and for every other control. */
export function coverNote({ control, at }: CardStep, structures: readonly Structure[]): string {
  const { setting, spillsTo } = structures.find(({ id }) => id === at)?.properties ?? {};
  if (control !== 'cover' || setting === 'sag') return '';
  return setting === 'on-grade'
    ? `Lets oil run on to ${spillsTo ?? 'the next inlet downhill'}: be there too.`
    : `See that it ponds, else oil runs on${spillsTo === undefined ? '' : ` to ${spillsTo}`}.`;
}

/** More ends than this are left to the map. */
const MOST_ENDS = 4;

/** Where the oil ends up, with its soonest minutes in both weathers. */
export function whereItGoes({ dry, rain }: ResponseCard, nameOf: (id: string) => string): string {
  const { arrivals, separators, outfalls } = dry.spill;
  if (arrivals.length === 0) return '';
  const minutesIn = ({ spill }: ResponseCard['dry']) => new Map(spill.arrivals.map(({ id, minutes }) => [id, minutes]));
  const [dryMinutes, rainMinutes] = [minutesIn(dry), minutesIn(rain)];
  const at = (id: string) =>
    `${nameOf(id)} ${saidMinutes(dryMinutes.get(id) ?? 0)} dry, ${saidMinutes(rainMinutes.get(id) ?? 0).replace('in about ', '')} in rain`;
  const ends = [
    ...outfalls.map(({ id, pastSeparator }) => `${at(id)}${pastSeparator ? '' : ', past no separator'}`),
    ...separators.map(at),
  ];
  if (ends.length === 0) return 'Unblocked, it reaches no separator and no outfall.';
  const more = ends.length > MOST_ENDS ? '; and more, on the map' : '';
  return `Unblocked, oil can be at ${ends.slice(0, MOST_ENDS).join('; ')}${more}.`;
}

/** How much is taken to be spilled, and why. */
export function litresWords({ litres, litresFrom, largestOf }: ResponseCard, units: Units): string {
  const volume = formatVolume(litres, units);
  if (litresFrom === 'asked') return `${volume}, as asked for`;
  return litresFrom === 'largest' && largestOf
    ? `${volume} of ${fluidWord(largestOf)}, the largest container here`
    : `${volume}, a default: the map lists no container here`;
}

/** What the card rests on, in one small paragraph. */
export function assumedWords(card: ResponseCard, { others }: Pick<SiteMap, 'others'>, units: Units): string {
  const { isTimed, isTooLate, marginMinutes } = card.dry.block;
  const crews = others.filter(({ properties }) => properties.kind === 'crew').map(({ id }) => id);
  const from = crews.length > MOST_POSTS ? 'the nearest crew post' : crews.join(' or ');
  return [
    `Assumed: ${litresWords(card, units)}, run out in a minute at the place nearest the drain.`,
    `Rain: ${formatRain(card.rainMmPerH, units)}.`,
    'Oil times are the soonest, at the speed of water, rounded down.',
    isTimed
      ? `You: one crew on foot from ${from}, ${isTooLate ? 'each place by itself' : 'one place after the other'}; in time is ${marginMinutes} min before the oil.`
      : 'No crew is on the map: time is not counted.',
  ].join(' ');
}

const MOST_POSTS = 3;

const CONTENTS: Readonly<Record<string, (amount: number, units: Units) => string>> = {
  sorbentLitres: (litres, units) => `sorbent for ${formatVolume(litres, units)}`,
  covers: (count) => plural(count, 'drain cover'),
  plugs: (count) => plural(count, 'plug'),
  booms: (count) => plural(count, 'boom'),
  berms: (count) => plural(count, 'berm'),
};
const plural = (count: number, word: string) => `${count} ${word}${count === 1 ? '' : 's'}`;

/** What a kit holds, in words; empty where the map does not say. */
export function contentsWords(contents: Readonly<Record<string, number>> | undefined, units: Units): string {
  return Object.entries(contents ?? {})
    .map(([what, amount]) => CONTENTS[what]?.(amount, units) ?? `${amount} ${what}`)
    .join(', ');
}
