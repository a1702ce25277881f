import { KitSign } from '../../../drawing/index.ts';
import type { KitsPlan } from '../../../kits/index.ts';
import { formatMoney, formatNumber, METRES_PER_FOOT } from '../../../units/index.ts';
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
import { pick, pickedId } from '../state/picked.ts';
import {
  isHintShown,
  isKept,
  isPlacing,
  kits,
  kitsCurve,
  type LetteredKit,
  letteredKits,
  mostNewKits,
  newKits,
  standingCount,
  withinMinutes,
} from '../state/plan.ts';
import { voice } from '../state/voice.ts';
import { currency, nameOf, units, yard } from '../state/yard.ts';
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
  if (!kits.value) return isPlacing.value ? 'Working it out …' : 'This could not be worked out.';
  if (!kits.value.answer) return 'No kit can be placed on this map yet.';
  return newKitsSentence(letteredKits.value.filter(({ isStanding }) => !isStanding).map(kitPlace), voice.value);
}

/** "Gate lodge wall"; a place that was made up goes by its letter on the map. */
export const kitPlace = ({ spot, letter }: LetteredKit): string => (spot === null ? `place ${letter}` : nameOf(spot));

function KitsForm() {
  const change = (by: number) => {
    newKits.value = Math.min(mostNewKits.value, Math.max(1, newKits.value + by));
  };
  return (
    <div class="plan-form">
      <fieldset class="stepper">
        <legend class="unseen">New kits</legend>
        <span aria-hidden="true">New kits</span>
        <button type="button" aria-label="One kit fewer" aria-disabled={newKits.value <= 1} onClick={() => change(-1)}>
          −
        </button>
        <output aria-live="polite">{newKits.value}</output>
        <button
          type="button"
          aria-label="One kit more"
          aria-disabled={newKits.value >= mostNewKits.value}
          onClick={() => change(1)}
        >
          +
        </button>
      </fieldset>
      {standingCount.value > 0 && (
        <label class="one-spill">
          <input
            type="checkbox"
            checked={isKept.value}
            onChange={({ currentTarget }) => {
              isKept.value = currentTarget.checked;
            }}
          />
          {standingCount.value === 1 ? 'Keep the kit that stands' : `Keep the ${standingCount.value} kits that stand`}
        </label>
      )}
      <div class="fields">
        <NumberField
          key={yard.value?.mapText}
          label="Within so many minutes, if that matters"
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
      <h2 id="kit-list">Each kit</h2>
      <ul class="kit-list">
        {letteredKits.value.map((kit) => (
          <KitRow key={kit.spot ?? kit.letter} kit={kit} meanMinutes={answer.meanMinutes} />
        ))}
      </ul>
    </section>
  );
}

function KitRow({ kit, meanMinutes }: { kit: LetteredKit; meanMinutes: number }) {
  const { spot, letter, isStanding, serves, farthestMinutes } = kit;
  const isPicked = spot !== null && pickedId.value === spot;
  const isServing = pickedId.value !== null && serves.includes(pickedId.value);
  const row = usePickedInSight<HTMLLIElement>(isPicked || isServing);
  const head = (
    <>
      <KitSign letter={letter} isStanding={isStanding} />
      <span>{kitPlace(kit).replace(/^place/, 'Place')}</span>
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
        {serves.length === 0 ? (
          <p>Serves no zone: another kit is nearer to each.</p>
        ) : (
          <p>
            Serves{' '}
            {isServing && (
              <>
                <strong>{nameOf(pickedId.value ?? '')}</strong>
                {serves.length > 1 && ', '}
              </>
            )}
            {namesWords(
              serves.filter((zone) => zone !== pickedId.value),
              nameOf,
              voice.value,
            )}
            {farthestMinutes !== null && `; the farthest is ${walkMinutes(farthestMinutes, voice.value)} away`}.
          </p>
        )}
        <p>{holdsSentence(kit)}</p>
        <p>{whyHereSentence(kit, meanMinutes, voice.value)}</p>
      </div>
    </li>
  );
}

/** "stands", "USD 150", "new": what it costs where the map says it. */
export const kitCostWords = ({ isStanding, cost }: LetteredKit): string =>
  isStanding ? 'stands' : cost === null ? 'new' : formatMoney(cost, currency.value);

/** What goes into a new kit, and what one that stands lacks. */
export function holdsSentence({ isStanding, contents, refill }: LetteredKit): string {
  const words = contentsWords(refill ?? contents, voice.value);
  if (refill) return words === '' ? 'It holds enough.' : `It lacks ${words}.`;
  if (words === '') return '';
  return isStanding ? `The map does not say what it holds. It needs ${words}.` : `Fill it with ${words}.`;
}

function KitsCurve() {
  const { points: curve, part } = kitsCurve.value ?? { points: [], part: 0 };
  if (part === 1 && curve.length < 2) return null;
  const digits = walkDigits(curve.map(({ meanMinutes }) => meanMinutes));
  const most = Math.max(...curve.map(({ meanMinutes }) => meanMinutes));
  const isOfCount = withinMinutes.value === undefined;
  return (
    <section>
      <h2>Mean walk by number of new kits, in minutes</h2>
      {part < 1 ? (
        <CurveProgress part={part} />
      ) : (
        <Curve
          label={curve
            .map(({ count, meanMinutes }) => `${count}: ${formatNumber(meanMinutes, digits)} minutes`)
            .join('; ')}
          points={curve.map(({ count, meanMinutes }, at) => ({
            across: at / (curve.length - 1),
            up: most > 0 ? meanMinutes / most : 0,
            over: formatNumber(meanMinutes, digits),
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
      <h2>Worth a look</h2>
      {isHintShown.value &&
        fuelingFar.map(({ zone, metres }) => (
          <p key={zone} class="plan-hint">
            {fuelingWords(nameOf(zone), metres)}
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
        {isHintShown.value ? 'Hide this' : 'Show the rule for fuelling'}
      </button>
    </section>
  );
}

function fuelingWords(name: string, metres: number): string {
  const far = units.value === 'us' ? `${formatNumber(metres / METRES_PER_FOOT)} ft` : `${formatNumber(metres)} m`;
  return `${name} has its nearest kit ${far} away. One state asks for 25 ft (7.6 m) at all fuelling; where you are it may not be a rule.`;
}

function Assumed({ answer }: { answer: KitsPlan }) {
  const hasBuildings = yard.value?.map.others.some(({ properties }) => properties.kind === 'building') ?? false;
  return (
    <section>
      <h2>What is assumed</h2>
      <ul class="plain-list">
        {[
          ...kitsAssumptions(answer, hasBuildings, voice.value),
          'Lines on the map say whose kit it is, not which way to walk.',
        ].map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
  );
}
