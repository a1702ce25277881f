import type { CardColumn, CardStep, ResponseCard } from '../../../block/index.ts';
import { controlOrder, keptOut, planTelling, takesMinutes } from '../../../words/index.ts';
import type { Binder } from '../binder.ts';
import { safetyBefore, soonestWords, watchWords } from './card-words.ts';
import { keepIds } from './keep-ids.tsx';

/** More steps than these are no longer work of the first minutes, nor fit a page: of one hand, and of those who come after. */
const MOST_STEPS = 3;
const MOST_CREW_STEPS = 2;
const MOST_INLINE = 2;

/** Somebody at the spill, by whom a plan names its steps. */
const HERE = 'here';

/** One list of steps on a card: those in dry weather, and those in rain where they are others. */
interface Shown {
  steps: CardStep[];
  more: number;
  inRain: CardStep[];
}

/** Numbers of the steps that stand in full on a card. */
type Above = ReadonlySet<number>;

/** The steps that a card has room for. */
export interface ShownSteps {
  alone: Shown | null;
  /** What the crew does beside; all steps where nobody is counted alone. */
  crew: Shown;
  ifNot: CardStep[];
  ifPast: CardStep[];
}

export function shownSteps({ alone, all, ifNot, ifPast }: ResponseCard): ShownSteps {
  const shown = ({ steps, inRain }: Pick<CardColumn, 'steps' | 'inRain'>, most = MOST_STEPS): Shown => ({
    steps: steps.slice(0, most),
    more: Math.max(0, steps.length - most),
    inRain: inRain.slice(0, MOST_INLINE),
  });
  const crews = (steps: readonly CardStep[]) => (alone ? steps.filter(({ hand }) => hand !== HERE) : [...steps]);
  return {
    alone: alone && shown(alone),
    crew: shown({ steps: crews(all.steps), inRain: crews(all.inRain) }, alone ? MOST_CREW_STEPS : MOST_STEPS),
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
  const before = safetyBefore(everyStep(card), voice);
  const above = new Set([...(shown.alone?.steps ?? []), ...shown.crew.steps].map(({ ring }) => ring));
  // What both keep is said once.
  const kept = [alone ? keptWords(alone, binder) : '', keptWords(all, binder)];
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
  return (
    <section class="plan">
      {card.isUntilNamed && <h2 class="until">{voice.say('cards.until-named')}</h2>}
      {before !== '' && <p class="before">{before}</p>}
      <div class={alone && hasCrew ? 'columns' : undefined}>
        {alone && shown.alone && (
          <Column
            title={told.columns[0].title}
            column={alone}
            shown={shown.alone}
            kept={kept[0]}
            above={above}
            nothing={voice.say('cards.nobody-alone')}
            binder={binder}
          />
        )}
        {(!alone || hasCrew) && (
          <Column
            title={alone ? told.columns[1].title : voice.say('cards.one-column')}
            column={all}
            shown={shown.crew}
            kept={kept[0] === kept[1] ? '' : kept[1]}
            above={above}
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
            above={above}
            nothing={voice.say('cards.if-not-none')}
            binder={binder}
          />
          <Otherwise
            words={voice.say('cards.if-past', { minutes: ifPast.minutes })}
            steps={shown.ifPast}
            above={above}
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
  const answers = [...(alone ? [alone.dry, alone.rain] : []), all.dry, all.rain];
  const backingUp = answers.flatMap((each) => planTelling(each, placesOf(binder), binder.voice).backingUp);
  const sentences = [...new Set([...backingUp, ...watchWords(answers, binder.voice)])];
  return sentences.length === 0 ? null : <p class="watch">{sentences.join(' ')}</p>;
}

function Column({
  title,
  column,
  shown: { steps, more, inRain },
  kept,
  above,
  nothing,
  binder,
}: {
  title: string;
  column: CardColumn;
  shown: Shown;
  kept: string;
  above: Above;
  nothing: string;
  binder: Binder;
}) {
  const { voice } = binder;
  return (
    <div class="column">
      <h2>{title}</h2>
      {steps.length === 0 ? (
        <p>{nothing}</p>
      ) : (
        <ol>
          {steps.map((step) => (
            <Step key={step.ring} step={step} isTimed={column.dry.isTimed} binder={binder} />
          ))}
        </ol>
      )}
      {more > 0 && <p>{voice.say('cards.more-steps', { count: more })}</p>}
      {inRain.length > 0 && (
        <p class="rain">
          <b>{voice.say('cards.in-rain')}</b> <Inline steps={inRain} above={above} binder={binder} />
        </p>
      )}
      {kept !== '' && <p class="kept-out">{kept}</p>}
    </div>
  );
}

/** Less than this share of what comes is no difference to tell. */
const ALIKE = 0.05;

/** Litres kept out of what gets in with nothing done, and in rain where it is another share of them. */
function keptWords({ dry, rain }: CardColumn, { voice }: Binder): string {
  const [inDry, inRain] = [keptOut(dry), keptOut(rain)];
  const about = { kept: { litres: inDry.litres }, of: { litres: inDry.of }, from: inDry.from };
  const shareOf = ({ litres, of }: typeof inDry) => (of > 0 ? litres / of : 1);
  const kept = voice.say('cards.kept', about);
  if (Math.abs(shareOf(inDry) - shareOf(inRain)) < ALIKE) return kept;
  const { litres, of } = inRain;
  return [kept, voice.say('cards.kept-in-rain', { kept: { litres }, of: { litres: of } })].join(' ');
}

function Step({ step, isTimed, binder }: { step: CardStep; isTimed: boolean; binder: Binder }) {
  const { ring, at, control, crewMinutes, dry, rain } = step;
  const { voice, nameOf } = binder;
  const minutes = (soonest: number | null) => soonestWords(soonest, voice);
  const notes = notesOf(step, binder);
  const isOther = minutes(dry.soonestMinutes) !== minutes(rain.soonestMinutes);
  return (
    <li class="step">
      <b class="number">{ring}</b>
      <div>
        <strong>{keepIds(controlOrder({ control, at: nameOf(at) }, voice))}</strong>
        <p class="times">
          {notes.map((note) => (
            <span key={note}>{note}</span>
          ))}
          {isTimed && crewMinutes !== null && (
            <span class="time">
              {voice.say('cards.done')} <b>{takesMinutes(crewMinutes, voice)}</b>
            </span>
          )}
          {dry.soonestMinutes !== null && (
            <span class="time">
              {voice.say('cards.oil-soonest')} <b>{minutes(dry.soonestMinutes)}</b>
              {isOther && ` ${voice.say('cards.rain-minutes', { minutes: minutes(rain.soonestMinutes) })}`}
            </span>
          )}
          {dry.likelyMinutes !== null && minutes(dry.likelyMinutes) !== minutes(dry.soonestMinutes) && (
            <span class="time">
              {voice.say('cards.oil-likely')} <b>{minutes(dry.likelyMinutes)}</b>
            </span>
          )}
        </p>
      </div>
    </li>
  );
}

/** By whom, if not by the reader, and from which kit. */
function notesOf({ kit, hand }: CardStep, { voice, plainNameOf }: Binder): string[] {
  return [
    ...(hand === null || hand === HERE ? [] : [voice.say('cards.who-does', { who: plainNameOf(hand) })]),
    ...(kit === null ? [] : [voice.say('cards.fetch-from', { kit: plainNameOf(kit) })]),
  ];
}

function Otherwise({
  words,
  steps,
  above,
  nothing,
  binder,
}: {
  words: string;
  steps: readonly CardStep[];
  above: Above;
  nothing: string;
  binder: Binder;
}) {
  return (
    <li>
      <b>{words}</b> {steps.length === 0 ? nothing : <Inline steps={steps} above={above} binder={binder} />}
    </li>
  );
}

/** Steps in a line: number, order, and when it is in place; of a step that stands in full above the number is enough. */
function Inline({ steps, above, binder: { voice } }: { steps: readonly CardStep[]; above: Above; binder: Binder }) {
  const words = ({ ring, at, control, crewMinutes }: CardStep) => {
    const minutes = crewMinutes === null ? '' : takesMinutes(crewMinutes, voice);
    if (above.has(ring)) return minutes;
    const order = controlOrder({ control, at }, voice);
    return crewMinutes === null ? order : voice.say('cards.step-inline', { order, crew: minutes });
  };
  return (
    <>
      {steps.map((step) => (
        <span key={step.ring} class="inline-step">
          <b class="number">{step.ring}</b> {words(step)}
        </span>
      ))}
    </>
  );
}
