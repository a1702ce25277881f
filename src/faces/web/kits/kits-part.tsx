import { KitSign } from '../../../drawing/index.ts';
import type { KitsPlan } from '../../../kits/index.ts';
import {
  contentsWords,
  kitsAssumptions,
  kitsSentences,
  namesWords,
  newKitsSentence,
  walkDigits,
  walkMinutes,
  whyHereSentence,
} from '../../../words/index.ts';
import { NumberField } from '../parts/number-field.tsx';
import { usePickedInSight } from '../parts/picked-in-sight.ts';
import { ProblemList } from '../parts/problem-list.tsx';
import { Rich } from '../parts/rich.tsx';
import { pick, pickedId } from '../state/picked.ts';
import {
  existingCount,
  isHintShown,
  isKept,
  isPlacing,
  kits,
  kitsCurve,
  type LetteredKit,
  letteredKits,
  mostNewKits,
  newKits,
  withinMinutes,
} from '../state/plan.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
import { Curve, CurveProgress } from './curve.tsx';

const MOST_MINUTES = 1_000;

/** Where kits should stand: the answer, what is asked, each kit, and what more of them would do. */
export function KitsPart() {
  const answer = kits.value?.answer ?? null;
  return (
    <>
      <p class="answer" aria-live="polite" aria-busy={isPlacing.value}>
        {spokenKits()}
      </p>
      {answer && (
        <p class="plan-more">{kitsSentences(answer, withinMinutes.value, nameOf, voice.value).slice(1).join(' ')}</p>
      )}
      <KitsForm />
      <KitsProblems />
      {answer && (
        <>
          <KitList answer={answer} />
          <KitsCurve />
          <Hints answer={answer} />
          <Assumed answer={answer} />
        </>
      )}
    </>
  );
}

/** What to do first, for the screen and the page alike. */
export function spokenKits(): string {
  if (!kits.value) return say(isPlacing.value ? 'app.working' : 'kits-screen.not-worked-out');
  if (!kits.value.answer) return say('kits-screen.no-kit');
  return newKitsSentence(letteredKits.value.filter(({ isStanding }) => !isStanding).map(kitPlace), voice.value);
}

/** "Gate lodge wall"; a place that was made up goes by its letter on the map. */
export const kitPlace = ({ spot, letter }: LetteredKit): string =>
  spot === null ? say('kits-screen.lettered-place', { letter }) : nameOf(spot);

function KitsForm() {
  const change = (by: number) => {
    newKits.value = Math.min(mostNewKits.value, Math.max(1, newKits.value + by));
  };
  return (
    <div class="plan-form">
      <fieldset class="stepper">
        <legend class="unseen">{say('kits-screen.new-kits')}</legend>
        <span aria-hidden="true">{say('kits-screen.new-kits')}</span>
        <button
          type="button"
          aria-label={say('kits-screen.fewer')}
          aria-disabled={newKits.value <= 1}
          onClick={() => change(-1)}
        >
          −
        </button>
        <output aria-live="polite">{newKits.value}</output>
        <button
          type="button"
          aria-label={say('kits-screen.more')}
          aria-disabled={newKits.value >= mostNewKits.value}
          onClick={() => change(1)}
        >
          +
        </button>
      </fieldset>
      {existingCount.value > 0 && (
        <label class="one-spill">
          <input
            type="checkbox"
            checked={isKept.value}
            onChange={({ currentTarget }) => {
              isKept.value = currentTarget.checked;
            }}
          />
          {say('kits-screen.keep-standing', { count: existingCount.value })}
        </label>
      )}
      <div class="fields">
        <NumberField
          key={yard.value?.mapText}
          label={say('kits-screen.within')}
          value={withinMinutes.value}
          isOptional
          isPositive
          most={MOST_MINUTES}
          onNumber={(minutes) => {
            withinMinutes.value = minutes;
          }}
        />
      </div>
    </div>
  );
}

function KitsProblems() {
  const problems = kits.value?.problems ?? [];
  const zones = new Set(yard.value?.map.zones.map(({ id }) => id));
  return problems.length > 0 ? <ProblemList problems={problems} isOnMap={(id) => zones.has(id)} /> : null;
}

function KitList({ answer }: { answer: KitsPlan }) {
  return (
    <section aria-labelledby="kit-list">
      <h2 id="kit-list">{say('kits-screen.each-kit')}</h2>
      <ul class="kit-list">
        {letteredKits.value.map((kit) => (
          <KitRow key={kit.spot ?? kit.letter} kit={kit} meanMinutes={answer.meanMinutes} />
        ))}
      </ul>
    </section>
  );
}

function KitRow({ kit, meanMinutes }: { kit: LetteredKit; meanMinutes: number }) {
  const { spot, letter, isStanding, serves } = kit;
  const isPicked = spot !== null && pickedId.value === spot;
  const isServing = pickedId.value !== null && serves.includes(pickedId.value);
  const row = usePickedInSight<HTMLLIElement>(isPicked || isServing);
  const head = (
    <>
      <KitSign letter={letter} isStanding={isStanding} />
      <span>{spot === null ? say('kits-screen.lettered-row', { letter }) : nameOf(spot)}</span>
      <strong>{kitCostWords(kit)}</strong>
    </>
  );
  return (
    <li ref={row}>
      {spot === null ? (
        <div class="plan-row">{head}</div>
      ) : (
        <button type="button" class="plan-row" data-row={spot} aria-pressed={isPicked} onClick={() => pick(spot)}>
          {head}
        </button>
      )}
      <div class="plan-facts">
        <p>
          {isServing && (
            <>
              <Rich
                of={['kits-screen.serves-picked', { zone: nameOf(pickedId.value ?? '') }]}
                as={{ b: 'strong' }}
              />{' '}
            </>
          )}
          {servesSentence(kit)}
        </p>
        <p>{holdsSentence(kit)}</p>
        <p>{whyHereSentence(kit, meanMinutes, voice.value)}</p>
      </div>
    </li>
  );
}

/** Which zones it is nearest to, and how far the farthest of them is. */
function servesSentence({ serves, farthestMinutes }: LetteredKit): string {
  if (serves.length === 0) return say('kits-screen.serves-none');
  const zones = namesWords(serves, nameOf, voice.value);
  return farthestMinutes === null
    ? say('kits-screen.serves', { zones })
    : say('kits-screen.serves-farthest', { zones, walk: walkMinutes(farthestMinutes, voice.value) });
}

/** "stands", "$150", "new": what it costs where the map says it. */
export const kitCostWords = ({ isStanding, cost }: LetteredKit): string =>
  isStanding ? say('kits-screen.stands') : cost === null ? say('kits-screen.new') : voice.value.text({ money: cost });

/** What goes into a new kit, and what one that stands lacks. */
export function holdsSentence({ isStanding, contents, refill }: LetteredKit): string {
  const words = contentsWords(refill ?? contents, voice.value);
  if (refill) return words === '' ? say('kits-screen.holds-enough') : say('kits-screen.lacks', { contents: words });
  if (words === '') return '';
  return say(isStanding ? 'kits-screen.holds-unknown' : 'kits-screen.fill-with', { contents: words });
}

function KitsCurve() {
  const { points: curve, part } = kitsCurve.value ?? { points: [], part: 0 };
  if (part === 1 && curve.length < 2) return null;
  const digits = walkDigits(curve.map(({ meanMinutes }) => meanMinutes));
  const most = Math.max(...curve.map(({ meanMinutes }) => meanMinutes));
  const isOfCount = withinMinutes.value === undefined;
  return (
    <section>
      <h2>{say('kits-screen.walk-curve')}</h2>
      {part < 1 ? (
        <CurveProgress part={part} />
      ) : (
        <Curve
          label={curve
            .map(({ count, meanMinutes }) =>
              say('kits-screen.walk-point', { count, minutes: { number: meanMinutes, digits } }),
            )
            .join('; ')}
          points={curve.map(({ count, meanMinutes }, at) => ({
            across: at / (curve.length - 1),
            up: most > 0 ? meanMinutes / most : 0,
            over: voice.value.number(meanMinutes, digits),
            under: String(count),
            isNow: isOfCount && count === newKits.value,
          }))}
        />
      )}
    </section>
  );
}

/** A rule of one state. It can be put away. */
function Hints({ answer: { fuelingFar } }: { answer: KitsPlan }) {
  if (fuelingFar.length === 0) return null;
  return (
    <section>
      <h2>{say('kits-screen.worth-a-look')}</h2>
      {isHintShown.value &&
        fuelingFar.map(({ zone, metres }) => (
          <p key={zone} class="plan-hint">
            {say('kits-screen.fueling-far', { zone: nameOf(zone), distance: { metres } })}
          </p>
        ))}
      <button
        type="button"
        class="more"
        aria-expanded={isHintShown.value}
        onClick={() => {
          isHintShown.value = !isHintShown.value;
        }}
      >
        {say(isHintShown.value ? 'kits-screen.hide-rule' : 'kits-screen.show-rule')}
      </button>
    </section>
  );
}

function Assumed({ answer }: { answer: KitsPlan }) {
  const hasBuildings = yard.value?.map.others.some(({ properties }) => properties.kind === 'building') ?? false;
  return (
    <section>
      <h2>{say('app.what-is-assumed')}</h2>
      <ul class="plain-list">
        {[...kitsAssumptions(answer, hasBuildings, voice.value), say('kits-screen.lines-meaning')].map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
  );
}
