import type { CardStep, CardTiming, ResponseCard } from '../../../block/index.ts';
import type { Voice } from '../../../catalogue/index.ts';
import { controlOrder, shortMinutes, takesMinutes } from '../../../words/index.ts';
import type { Binder } from '../binder.ts';
import { coverNote, inTimeWords, planFootnote, planHeading } from './card-words.ts';

/** More steps than this are no longer one crew's work in minutes, nor fit a page. */
const MOST_STEPS = 5;
const MOST_AFTER = 2;

/** The steps that a card has room for: to do, when the first was missed, and in rain. */
export function shownSteps({
  plan,
  ifMissed,
  inRain,
}: ResponseCard): Record<'plan' | 'ifMissed' | 'inRain', CardStep[]> {
  return {
    plan: plan.slice(0, MOST_STEPS),
    ifMissed: ifMissed.slice(0, MOST_AFTER),
    inRain: inRain.slice(0, MOST_AFTER),
  };
}

/** Where to block, in order, each with its number on the map and its minutes in both weathers. */
export function Plan({ card, binder }: { card: ResponseCard; binder: Binder }) {
  const { isTimed } = card.dry.block;
  const { voice } = binder;
  const { plan, ifMissed, inRain } = shownSteps(card);
  const more = card.plan.length - plan.length;
  const footnote = planFootnote(card, voice);
  const rows = (steps: readonly CardStep[]) =>
    steps.map((step) => <Step key={step.ring} step={step} isTimed={isTimed} binder={binder} />);
  return (
    <section class="plan">
      <h2>{planHeading(card, voice)}</h2>
      {plan.length > 0 && (
        <table>
          <thead>
            <tr>
              <th colSpan={2}>{voice.say('cards.go-and-do')}</th>
              {isTimed && <th>{voice.say('cards.you-done')}</th>}
              <th>{voice.say('cards.oil-dry')}</th>
              <th>{voice.say('cards.oil-rain')}</th>
            </tr>
          </thead>
          <tbody>{rows(plan)}</tbody>
          {ifMissed.length > 0 && (
            <tbody>
              <Between words={voice.say('cards.if-missed', { at: plan[0].at })} />
              {rows(ifMissed)}
            </tbody>
          )}
          {inRain.length > 0 && (
            <tbody>
              <Between words={voice.say(card.rain.block.isTooLate ? 'cards.rain-too-late' : 'cards.rain-instead')} />
              {rows(inRain)}
            </tbody>
          )}
        </table>
      )}
      {more > 0 && <p>{voice.say('cards.more-steps', { count: more })}</p>}
      {footnote !== '' && <p>{footnote}</p>}
    </section>
  );
}

function Between({ words }: { words: string }) {
  return (
    <tr class="between">
      <th colSpan={5}>{words}</th>
    </tr>
  );
}

function Step({ step, isTimed, binder }: { step: CardStep; isTimed: boolean; binder: Binder }) {
  const { ring, at, control, crewMinutes, dry, rain } = step;
  const name = binder.plainNameOf(at);
  const { voice } = binder;
  const notes = [fetchNote(step, binder), coverNote(step, binder.map.structures, voice)].filter((note) => note !== '');
  return (
    <tr>
      <td class="ring">
        <b class="number">{ring}</b>
      </td>
      <td>
        <strong>{controlOrder({ control, at }, voice)}</strong>
        {name !== at && <em>{` ${name}`}</em>}
        <small>{notes.join(' ')}</small>
      </td>
      {isTimed && <td class="minutes">{crewMinutes === null ? '–' : takesMinutes(crewMinutes, voice)}</td>}
      <OilThere timing={dry} crewMinutes={crewMinutes} voice={voice} />
      <OilThere timing={rain} crewMinutes={crewMinutes} voice={voice} />
    </tr>
  );
}

function fetchNote({ kit, control }: CardStep, { voice, nameOf }: Binder): string {
  if (kit !== null) return voice.say('cards.fetch-from', { kit: nameOf(kit) });
  return control === 'valve' ? voice.say('cards.fetch-nothing') : '';
}

function OilThere({ timing, crewMinutes, voice }: { timing: CardTiming; crewMinutes: number | null; voice: Voice }) {
  const words = inTimeWords(timing, crewMinutes, voice);
  return (
    <td class="minutes">
      {timing.oilMinutes !== null && shortMinutes(timing.oilMinutes, voice)}
      {words !== '' && <small class={timing.isInTime ? 'in-time' : undefined}>{words}</small>}
    </td>
  );
}
