import type { ResponseCard } from '../../../block/index.ts';
import { told, type Voice } from '../../../catalogue/index.ts';
import { MarkInText } from '../../../drawing/index.ts';
import { isOfKind } from '../../../site-map/index.ts';
import { callsFor, type SpillCall } from '../../../spill/index.ts';
import { siteMark, takesMinutes } from '../../../words/index.ts';
import { type Binder, type Paper, shortened } from '../binder.ts';
import { rich } from '../rich.tsx';
import { CardMap } from './card-map.tsx';
import { assumedWords, contentsWords, whereItGoes } from './card-words.ts';
import { MAP_WIDTH } from './cut-out.ts';
import { keepIds } from './keep-ids.tsx';
import { everyStep, Plan, shownSteps } from './plan.tsx';
import { QrCode } from './qr.tsx';

/** One zone, one page: what protects people first, then what to do, then what it rests on. `leftOut` says which zones have no card. */
export function Card({ card, binder, leftOut }: { card: ResponseCard; binder: Binder; leftOut: string }) {
  const { map, voice } = binder;
  const [head, ...more] = card.safety.first.slice(1).map(voice.tell);
  const [fire] = card.safety.first.map(voice.tell);
  return (
    <article class="card" data-zone={card.zone.id}>
      <Head card={card} binder={binder} />
      <section class="first">
        <div class="told">
          <h2>{voice.say('cards.if-spilled')}</h2>
          <p class="advice">{fire}</p>
          <p class={card.danger.mayBeGasoline ? 'first-words danger' : 'first-words'}>{head}</p>
          {more.map((sentence) => (
            <p key={sentence} class="advice">
              {sentence}
            </p>
          ))}
          <p>{keepIds(whereItGoes(card, binder))}</p>
          <Kit card={card} binder={binder} />
        </div>
        <Calls calls={callsOf(card, binder)} voice={voice} />
      </section>
      <Plan card={card} binder={binder} />
      <section class="where">
        <figure>
          <CardMap card={card} binder={binder} height={mapHeight(card, binder)} />
          <MapKey card={card} binder={binder} />
        </figure>
        <WriteDown binder={binder} />
      </section>
      <p class="care">
        <b>{voice.say('cards.take-care')}</b> {voice.say('cards.care')}
      </p>
      <footer>
        <p>{assumedWords(card, map, voice)}</p>
        {leftOut !== '' && <p>{leftOut}</p>}
        <p class="stamp">
          <span>
            {voice.say('cards.stamp', {
              site: shortened(binder.siteName, 50),
              zone: shortened(card.zone.id),
              day: { day: binder.day },
              version: binder.mapVersion,
            })}
          </span>
          <span>Oilshed</span>
        </p>
      </footer>
    </article>
  );
}

/** Width of the map, and the height that a card with two steps and four contacts leaves it, in mm. */
const MAP_WIDTH_MM = 118;
const MAP_HEIGHT_MM: Readonly<Record<Paper, number>> = { a4: 84, letter: 66 };
const STEP_MM = 14;
const CONTACT_MM = 9;
const [LEAST_HEIGHT, MOST_HEIGHT] = [150, 520];

/**
 * About how high the map can be, in its own units. It takes the room that the words leave it in any case: a guess that is
 * off only leaves it a margin.
 */
function mapHeight(card: ResponseCard, binder: Binder): number {
  const { alone, crew } = shownSteps(card);
  const rows = Math.max(...[alone, crew].map((each) => (each ? each.steps.length + each.inRain.length : 0)));
  const calls = Math.min(MOST_CALLS, callsOf(card, binder).length) || BLANK_CONTACTS.length;
  const mm = MAP_HEIGHT_MM[binder.paper] - STEP_MM * (rows - 2) - CONTACT_MM * (calls - 4);
  return Math.round(Math.max(LEAST_HEIGHT, Math.min(MOST_HEIGHT, (mm * MAP_WIDTH) / MAP_WIDTH_MM)));
}

function Head({ card, binder }: { card: ResponseCard; binder: Binder }) {
  const { id, name, properties } = card.zone;
  const { voice } = binder;
  const address = binder.link === null ? null : `${binder.link}${spillHash(id, binder)}`;
  const fluids = (properties.fluids ?? []).map(({ fluid, largestLitres }) =>
    largestLitres === undefined
      ? voice.say(`things.fluid-${fluid}`)
      : voice.say('cards.fluid-amount', { fluid: told(`things.fluid-${fluid}`), volume: { litres: largestLitres } }),
  );
  return (
    <header>
      <div class="zone-id">{shortened(id, 14)}</div>
      <div class="zone-title">
        <h1>{name}</h1>
        <p>
          {fluids.length > 0
            ? shortened(voice.say('cards.kept-here', { fluids: fluids.join(', ') }), 160)
            : voice.say('cards.no-fluids')}
        </p>
      </div>
      {address === null ? (
        <p class="no-link">{voice.say('cards.no-link')}</p>
      ) : (
        <div class="live">
          <span>{voice.say('cards.live-page')}</span>
          <QrCode text={address} label={voice.say('cards.qr', { address })} />
        </div>
      )}
    </header>
  );
}

/** The page of a spill on a zone, as the web app has it in addresses; a device with another yard open then says so. */
function spillHash(id: string, { map: { site } }: Binder): string {
  const yard = site.name === undefined ? '' : `?yard=${siteMark(site.name)}`;
  return `#/spill/${encodeURIComponent(id)}${yard}`;
}

/** So many calls stand large; as many more, small, below them. */
const MOST_CALLS = 4;
const MOST_MORE_CALLS = 6;
/** Of each of these the first stands large, wherever it comes in the order. */
const CALLED_FIRST = [
  ['spill.call-emergency'],
  ['spill.call-contractor'],
  ['spill.call-national', 'spill.call-reporting', 'spill.call-reporting-over'],
  ['spill.call-inside'],
] as const;
/** Those that a map without contacts leaves lines for. */
const BLANK_CONTACTS = ['cards.role-contractor', 'cards.role-fire', 'cards.role-reporting'] as const;

/** Whom to call, in order: what may be gasoline is called about as fire is. */
const callsOf = ({ danger }: ResponseCard, { map }: Binder): SpillCall[] =>
  callsFor(map, { happened: danger.mayBeGasoline ? 'fire-or-injury' : 'neither' });

/** A number is never cut: a long one is written smaller. */
const phoneLook = (phone: string) => (phone.length > LONG_PHONE ? 'phone long' : 'phone');
const LONG_PHONE = 16;

function Calls({ calls, voice }: { calls: readonly SpillCall[]; voice: Voice }) {
  const { shown, more } = callsShown(calls);
  const within = (minutes: number) =>
    minutes === 0 ? voice.say('cards.call-at-once') : voice.say('cards.call-within', { minutes });
  const named = more
    .slice(0, MOST_MORE_CALLS)
    .map(({ role, phone }) => voice.say('cards.call-also', { role, phone }))
    .join('; ');
  const unnamed = Math.max(0, more.length - MOST_MORE_CALLS);
  return (
    <div class="calls">
      <h2>{voice.say('cards.calls')}</h2>
      {shown.map(({ role, name, phone, trigger, withinMinutes, source }) => (
        <div class="call" key={`${voice.text(role)} ${name} ${phone}`}>
          <div class="who">
            <b>{voice.text(role)}</b> {source === null && name}
          </div>
          <div class={phoneLook(phone)}>{phone}</div>
          <p>
            {voice.tell(trigger)} · {within(withinMinutes)}
          </p>
        </div>
      ))}
      {shown.length === 0 &&
        BLANK_CONTACTS.map((key) => (
          <div class="call" key={key}>
            <b>{voice.say(key)}</b>
            <div class="phone blank" />
          </div>
        ))}
      {shown.length === 0 && <p>{voice.say('cards.no-contacts')}</p>}
      {named !== '' && <p class="also">{voice.say('cards.calls-also', { calls: named })}</p>}
      {unnamed > 0 && <p class="also">{voice.say('cards.more-contacts', { count: unnamed })}</p>}
    </div>
  );
}

/** The calls that stand large, in their order, and the rest: one of each kind first, then whoever comes first. */
function callsShown(calls: readonly SpillCall[]): { shown: SpillCall[]; more: SpillCall[] } {
  const wanted = CALLED_FIRST.flatMap(
    (told) => calls.find(({ trigger }) => told.some((key) => key === trigger.told)) ?? [],
  );
  const rest = calls.filter((call) => !wanted.includes(call));
  const large = new Set([...wanted, ...rest].slice(0, MOST_CALLS));
  return { shown: calls.filter((call) => large.has(call)), more: calls.filter((call) => !large.has(call)) };
}

function Kit({ card: { nearestKit }, binder }: { card: ResponseCard; binder: Binder }) {
  const { voice } = binder;
  const kit = binder.map.others.find(({ id }) => id === nearestKit?.id);
  if (!nearestKit || !kit || !isOfKind(kit, 'kit')) {
    return <p class="to-fill">{rich(voice.parts('cards.no-kit'))}</p>;
  }
  const contents = contentsWords(kit.properties.contents, voice);
  const near = { kit: binder.nameOf(kit.id), minutes: takesMinutes(nearestKit.minutes, voice) };
  const parts =
    contents === ''
      ? voice.parts('cards.nearest-kit-unknown', near)
      : voice.parts('cards.nearest-kit', { ...near, contents });
  return <p>{rich(parts, keepIds)}</p>;
}

const KEY_MARKS = ['kit'] as const;

function MapKey({ card, binder }: { card: ResponseCard; binder: Binder }) {
  const kinds = new Set(
    [...binder.map.structures, ...binder.map.others.map(({ properties }) => properties)].map(({ kind }) => kind),
  );
  return (
    <figcaption>
      <span>
        <svg viewBox="0 0 34 12" aria-hidden="true">
          <path class="oil-line" d="M1 6H33" />
          <path class="oil-chevrons" d="M14 2L18 6L14 10" />
        </svg>
        {binder.voice.say('cards.key-way')}
      </span>
      {everyStep(card).length > 0 && (
        <span>
          <b class="number">1</b> {binder.voice.say('cards.key-block')}
        </span>
      )}
      {KEY_MARKS.filter((kind) => kinds.has(kind)).map((kind) => (
        <span key={kind}>
          <MarkInText kind={kind} /> {binder.voice.say(`things.kind-${kind}`)}
        </span>
      ))}
    </figcaption>
  );
}

function WriteDown({ binder: { voice } }: { binder: Binder }) {
  const how = `what-how-much-${voice.units}` as const;
  const lines = ['seen-at', 'seen-by', how, 'got-to', 'placed', '', 'called'] as const;
  return (
    <div class="write-down">
      <h2>{voice.say('cards.write-down')}</h2>
      {lines.map((line, at) => (
        <p key={`${at} ${line}`}>{line !== '' && voice.say(`cards.${line}`)}</p>
      ))}
    </div>
  );
}
