import { useSignal } from '@preact/signals';
import { capital, LANGUAGES, type Language } from '../../../catalogue/index.ts';
import { Choices } from '../parts/choices.tsx';
import { type Choice, languageChoice, UNITS, unitsChoice } from '../state/choices.ts';
import { forgetAll } from '../state/forget.ts';
import { LOOKS, lookChoice } from '../state/look.ts';
import { waiting } from '../state/outbox.ts';
import { say } from '../state/voice.ts';

/** How the page is shown on this device, and what is kept on it. */
export function Settings() {
  return (
    <>
      <ChoiceOf
        legend={say('state.language')}
        choice={languageChoice}
        values={LANGUAGES}
        wordsOf={ownName}
        none={say('state.language-of-browser')}
      />
      <ChoiceOf
        legend={say('state.units')}
        choice={unitsChoice}
        values={UNITS}
        wordsOf={(each) => say(`state.units-${each}`)}
        none={say('state.units-of-map')}
      />
      <ChoiceOf
        legend={say('state.look')}
        choice={lookChoice}
        values={LOOKS}
        wordsOf={(each) => say(`state.look-${each}`)}
        none={say('state.as-device')}
      />
      <KeptHere />
    </>
  );
}

/** Each by its own name, for who reads no other: "English", "Español". */
function ownName(language: Language): string {
  const name = new Intl.DisplayNames([language], { type: 'language' }).of(language) ?? language;
  return capital(name, language);
}

const NONE = '';

function ChoiceOf<T extends string>({
  legend,
  choice,
  values,
  wordsOf,
  none,
}: {
  legend: string;
  choice: Choice<T>;
  values: readonly T[];
  wordsOf(value: T): string;
  /** What counts where nothing is chosen. */
  none: string;
}) {
  const options = values.map((value): { value: T | typeof NONE; words: string } => ({ value, words: wordsOf(value) }));
  return (
    <Choices
      legend={legend}
      options={[...options, { value: NONE, words: none }]}
      value={choice.value.value ?? NONE}
      onChoose={(chosen) => choice.choose(values.find((each) => each === chosen) ?? null)}
    />
  );
}

/** What this device keeps, and the way to take it away. */
function KeptHere() {
  const isAsking = useSignal(false);
  const unsent = waiting.value.length;
  return (
    <section aria-labelledby="kept-here">
      <h2 id="kept-here">{say('state.what-is-kept')}</h2>
      <p class="hint">{say('state.what-is-kept-list')}</p>
      {isAsking.value ? (
        <div class="ending" role="alert">
          <p>
            {say('state.forget-sure')} {unsent > 0 && say('state.forget-unsent', { count: unsent })}
          </p>
          <button type="button" onClick={() => void forgetAll()}>
            {say('state.forget-yes')}
          </button>
          <button type="button" onClick={() => (isAsking.value = false)}>
            {say('state.forget-no')}
          </button>
        </div>
      ) : (
        <button type="button" class="more" onClick={() => (isAsking.value = true)}>
          {say('state.forget')}
        </button>
      )}
    </section>
  );
}
