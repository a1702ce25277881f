import type { CardColumn, CardStep, ResponseCard } from '../../../block/index.ts';
import { controlOrder, keptOut, planTelling, shortMinutes, takesMinutes } from '../../../words/index.ts';
import type { Binder } from '../binder.ts';

/** More steps than these are no longer work of the first minutes, nor fit a page. */
const MOST_STEPS = 3;
const MOST_INLINE = 2;

/** Somebody at the spill, by whom a plan names its steps. */
const HERE = 'here';

/** One list of steps on a card: those in dry weather, and those in rain where they are others. */
interface Shown {
  steps: CardStep[];
  more: number;
  inRain: CardStep[];
}

/** The steps that a card has room for. */
export interface ShownSteps {
  alone: Shown | null;
  /** What the crew does beside; all steps where nobody is counted alone. */
  crew: Shown;
  ifNot: CardStep[];
  ifPast: CardStep[];
}

export function shownSteps({ alone, all, ifNot, ifPast }: ResponseCard): ShownSteps {
  const shown = ({ steps, inRain }: Pick<CardColumn, 'steps' | 'inRain'>): Shown => ({
    steps: steps.slice(0, MOST_STEPS),
    more: Math.max(0, steps.length - MOST_STEPS),
    inRain: inRain.slice(0, MOST_INLINE),
  });
  const crews = (steps: readonly CardStep[]) => (alone ? steps.filter(({ hand }) => hand !== HERE) : [...steps]);
  return {
    alone: alone && shown(alone),
    crew: shown({ steps: crews(all.steps), inRain: crews(all.inRain) }),
    ifNot: ifNot.slice(0, MOST_INLINE),
    ifPast: ifPast.steps.slice(0, MOST_INLINE),
  };
}

/** Every step that a card shows, in the order of its numbers' first mention. */
export function everyStep(card: ResponseCard): CardStep[] {
  const { alone, crew, ifNot, ifPast } = shownSteps(card);
  const steps = [alone, crew].flatMap((each) => [...(each?.steps ?? []), ...(each?.inRain ?? [])]);
  return [...steps, ...ifNot, ...ifPast];
}

const placesOf = ({ map, nameOf }: Binder) => ({
  nameOf,
  kindOf: (id: string) => map.structures.find((each) => each.id === id)?.kind,
  others: map.others,
});

/** What to do: whoever is there alone, the crew after; when it cannot be done, and when the oil has gone past. */
export function Plan({ card, binder }: { card: ResponseCard; binder: Binder }) {
  const { voice } = binder;
  const { alone, all, ifPast } = card;
  const shown = shownSteps(card);
  const places = placesOf(binder);
  const told = planTelling(all.dry, places, voice);
  if (all.steps.length + all.inRain.length === 0 && (alone === null || alone.steps.length === 0))
    return (
      <section class="plan">
        {card.isUntilNamed && <h2>{voice.say('cards.until-named')}</h2>}
        <p class="no-steps">{told.now.join(' ')}</p>
      </section>
    );
  const [first] = (alone ?? all).steps;
  const hasCrew = all.dry.hands.some(({ id }) => id !== HERE);
  const { before } = card.safety;
  return (
    <section class="plan">
      {card.isUntilNamed && <h2 class="until">{voice.say('cards.until-named')}</h2>}
      {before.length > 0 && <p class="before">{before.map(voice.tell).join(' ')}</p>}
      <div class={alone && hasCrew ? 'columns' : undefined}>
        {alone && shown.alone && (
          <Column
            title={told.columns[0].title}
            column={alone}
            shown={shown.alone}
            nothing={voice.say('cards.nobody-alone')}
            binder={binder}
          />
        )}
        {(!alone || hasCrew) && (
          <Column
            title={alone ? told.columns[1].title : voice.say('cards.one-column')}
            column={all}
            shown={shown.crew}
            nothing={voice.say('cards.crew-adds-nothing')}
            binder={binder}
          />
        )}
      </div>
      {first && (
        <ul class="otherwise">
          <Otherwise
            words={voice.say('cards.if-not', { first: String(first.ring) })}
            steps={shown.ifNot}
            nothing={voice.say('cards.if-not-none')}
            binder={binder}
          />
          <Otherwise
            words={voice.say('cards.if-past', { minutes: ifPast.minutes })}
            steps={shown.ifPast}
            nothing={voice.say('cards.if-past-none')}
            binder={binder}
          />
        </ul>
      )}
      <Watch card={card} binder={binder} />
    </section>
  );
}

/** What somebody must see to while it stands. */
function Watch({ card: { alone, all }, binder }: { card: ResponseCard; binder: Binder }) {
  const { voice } = binder;
  const answers = [...(alone ? [alone.dry, alone.rain] : []), all.dry, all.rain];
  const tellings = answers.map((each) => planTelling(each, placesOf(binder), voice));
  const closed = new Set(
    answers.flatMap(({ backingUp }) => backingUp.flatMap(({ at, minutes }) => (minutes === null ? [] : [at]))),
  );
  const words = answers.flatMap(({ whilePlacing }) =>
    whilePlacing.filter(({ told, values }) => !(told === 'block.watch-outlet' && closed.has(String(values?.at)))),
  );
  const sentences = new Set([...tellings.flatMap(({ backingUp }) => backingUp), ...words.map(voice.tell)]);
  return sentences.size === 0 ? null : <p class="watch">{[...sentences].join(' ')}</p>;
}

function Column({
  title,
  column,
  shown: { steps, more, inRain },
  nothing,
  binder,
}: {
  title: string;
  column: CardColumn;
  shown: Shown;
  nothing: string;
  binder: Binder;
}) {
  const { voice } = binder;
  const isTimed = column.dry.isTimed;
  return (
    <div class="column">
      <h2>{title}</h2>
      {steps.length === 0 ? (
        <p>{nothing}</p>
      ) : (
        <table>
          <thead>
            <tr>
              <th colSpan={2} />
              {isTimed && <th>{voice.say('cards.done')}</th>}
              <th>{voice.say('cards.oil-soonest')}</th>
              <th>{voice.say('cards.oil-likely')}</th>
            </tr>
          </thead>
          <tbody>
            {steps.map((step) => (
              <Step key={step.ring} step={step} isTimed={isTimed} binder={binder} />
            ))}
          </tbody>
        </table>
      )}
      {more > 0 && <p>{voice.say('cards.more-steps', { count: more })}</p>}
      {inRain.length > 0 && (
        <p class="rain">
          <b>{voice.say('cards.in-rain')}</b> <Inline steps={inRain} binder={binder} />
        </p>
      )}
      <p class="kept-out">{keptWords(column, binder)}</p>
    </div>
  );
}

/** Less than this share of what comes is no difference to tell. */
const ALIKE = 0.05;

/** Litres kept out against doing nothing, and in rain where it is another share of them. */
function keptWords({ dry, rain }: CardColumn, binder: Binder): string {
  const { voice } = binder;
  const [kept] = planTelling(dry, placesOf(binder), voice).kept;
  const [inDry, inRain] = [keptOut(dry), keptOut(rain)];
  const shareOf = ({ litres, of }: typeof inDry) => (of > 0 ? litres / of : 1);
  if (Math.abs(shareOf(inDry) - shareOf(inRain)) < ALIKE) return kept;
  const { litres, of } = inRain;
  return [kept, voice.say('cards.kept-in-rain', { kept: { litres }, of: { litres: of } })].join(' ');
}

function Step({ step, isTimed, binder }: { step: CardStep; isTimed: boolean; binder: Binder }) {
  const { ring, at, control, crewMinutes, dry, rain } = step;
  const { voice } = binder;
  const name = binder.plainNameOf(at);
  const minutes = (soonest: number | null) => shortMinutes(soonest, voice);
  const isOther = minutes(dry.soonestMinutes) !== minutes(rain.soonestMinutes);
  return (
    <tr>
      <td class="ring">
        <b class="number">{ring}</b>
      </td>
      <td>
        <strong>{controlOrder({ control, at }, voice)}</strong>
        {name !== at && <em>{` ${name}`}</em>}
        <small>{notesOf(step, binder)}</small>
      </td>
      {isTimed && <td class="minutes">{crewMinutes === null ? '–' : takesMinutes(crewMinutes, voice)}</td>}
      <td class="minutes">
        {minutes(dry.soonestMinutes)}
        {isOther && <small>{voice.say('cards.rain-minutes', { minutes: minutes(rain.soonestMinutes) })}</small>}
      </td>
      <td class="minutes">{minutes(dry.likelyMinutes)}</td>
    </tr>
  );
}

/** By whom, if not by the reader; from which kit; and whether it takes training. */
function notesOf({ kit, hand, needs }: CardStep, { voice, nameOf }: Binder): string {
  return [
    ...(hand === null || hand === HERE ? [] : [voice.say('cards.who-does', { who: nameOf(hand) })]),
    kit === null ? voice.say('cards.needs-nothing') : voice.say('cards.fetch-from', { kit: nameOf(kit) }),
    ...(needs === 'trained' ? [voice.say('cards.trained')] : []),
  ].join(' ');
}

function Otherwise({
  words,
  steps,
  nothing,
  binder,
}: {
  words: string;
  steps: readonly CardStep[];
  nothing: string;
  binder: Binder;
}) {
  return (
    <li>
      <b>{words}</b> {steps.length === 0 ? nothing : <Inline steps={steps} binder={binder} />}
    </li>
  );
}

/** Steps in a line: number, order, and when it is in place. */
function Inline({ steps, binder: { voice } }: { steps: readonly CardStep[]; binder: Binder }) {
  return (
    <>
      {steps.map(({ ring, at, control, crewMinutes }) => (
        <span key={ring} class="inline-step">
          <b class="number">{ring}</b>{' '}
          {crewMinutes === null
            ? controlOrder({ control, at }, voice)
            : voice.say('cards.step-inline', {
                order: controlOrder({ control, at }, voice),
                crew: takesMinutes(crewMinutes, voice),
              })}
        </span>
      ))}
    </>
  );
}
