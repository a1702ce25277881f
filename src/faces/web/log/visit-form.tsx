import type { TargetedEvent } from 'preact';
import { useRef, useState } from 'preact/hooks';
import { type PageKey, type Told, told } from '../../../catalogue/index.ts';
import type { Seen } from '../../../sources/index.ts';
import { LITRES_PER_GALLON, METRES_PER_FOOT, MM_PER_INCH } from '../../../units/index.ts';
import { type Condition, fillLimits, oilIn, stepsAfter } from '../../../upkeep/index.ts';
import { joinedSteps, lidCare, seenCell, visitCautions } from '../../../words/index.ts';
import { Choices } from '../parts/choices.tsx';
import { KeptNote } from '../parts/kept-note.tsx';
import { NameField } from '../parts/name-field.tsx';
import { focusFirstInvalid, NumberField } from '../parts/number-field.tsx';
import { PlaceSelect } from '../parts/place-select.tsx';
import { Rich } from '../parts/rich.tsx';
import { WhenField } from '../parts/when-field.tsx';
import { byName } from '../state/by-name.ts';
import { showKept } from '../state/log-view.ts';
import { NO_ROOM } from '../state/outbox.ts';
import { structureOf } from '../state/picked.ts';
import { rememberDue } from '../state/upkeep.ts';
import {
  type Check,
  change,
  changeCondition,
  discardDraft,
  draft,
  draftCondition,
  draftTrouble,
  isDraftRestored,
  isEmptyingKnown,
  keepVisit,
  moveTo,
  setChamberCount,
  type VisitDraft,
} from '../state/visit-draft.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, units } from '../state/yard.ts';
import { FormTrouble } from './form-trouble.tsx';
import { PhotoField } from './photos.tsx';

/** The visit form: what the trade looks at, one thing after the other, each with what follows from it. */
export function VisitForm() {
  const [trouble, setTrouble] = useState<Told | null>(null);
  const isBusy = useRef(false);
  const visit = draft.value;
  if (!visit) return null;
  const isSeparator = structureOf(visit.at)?.kind === 'separator';
  const wrong = draftTrouble(visit, byName.value, Date.now());
  const keep = async (event: TargetedEvent<HTMLFormElement>) => {
    event.preventDefault();
    if (isBusy.current) return;
    setTrouble(wrong);
    if (wrong !== null) return focusFirstInvalid(event.currentTarget);
    isBusy.current = true;
    rememberDue(visit.at);
    const isSafe = await keepVisit(byName.value);
    isBusy.current = false;
    if (isSafe) showKept(told('log-screen.visit-kept', { place: nameOf(visit.at) }));
    else setTrouble(NO_ROOM);
  };
  return (
    <form class="log-form" onSubmit={keep} noValidate>
      {isDraftRestored.value && (
        <p class="draft-note" role="status">
          {say('log-screen.begun-before')}
          <button type="button" class="quiet" onClick={discardDraft}>
            {say('log-screen.begin-afresh')}
          </button>
        </p>
      )}
      <div class="fields">
        <PlaceSelect at={visit.at} onChange={moveTo} />
        <NameField />
        <WhenField when={visit.when} onWhen={(when) => change({ when })} />
      </div>
      <p class="lid-care">{lidCare(visit.at, (id) => structureOf(id)?.kind, voice.value).join(' ')}</p>
      {isSeparator ? <SeparatorFields key={visit.at} visit={visit} /> : <LookField visit={visit} />}
      <PhotoField photos={visit.photos} onChange={(update) => change({ photos: update(draft.value?.photos ?? []) })} />
      <label class="note-field">
        {say('log-screen.anything-else')}
        <textarea rows={3} value={visit.note} onInput={({ currentTarget }) => change({ note: currentTarget.value })} />
      </label>
      <WhatFollows at={visit.at} />
      <FormTrouble shown={trouble} wrong={wrong} />
      <KeptNote />
      <button type="submit" class="big strong">
        {say('log-screen.keep-visit')}
      </button>
      <ul class="plain-list care">
        {visitCautions(voice.value).map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
    </form>
  );
}

/** A number as three digits tell it. */
const threeDigits = (value: number) => Number(value.toPrecision(3));

const SQUARE_FOOT = METRES_PER_FOOT ** 2;
const MOST_CHAMBERS = 6;
/** More than any vault is deep, or large: a slip of the finger. */
const [MOST_OIL_MM, MOST_SEDIMENT_MM, MOST_M2] = [3_000, 5_000, 10_000];

function SeparatorFields({ visit }: { visit: VisitDraft }) {
  const perLength = units.value === 'us' ? MM_PER_INCH : 1;
  const { chambers, condition } = visit;
  const oil = oilIn(draftCondition.value);
  const setChamber = (place: number, part: Partial<VisitDraft['chambers'][number]>) =>
    change({ chambers: chambers.map((each, at) => (at === place ? { ...each, ...part } : each)) });
  return (
    <>
      <section>
        <h2>{say('log-screen.oil-by-stick')}</h2>
        <div class="fields">
          {chambers.map(({ name, oilMm, areaM2 }, place) => (
            <ChamberFields
              key={`${place} ${chambers.length}`}
              {...{ name, oilMm, areaM2, perLength }}
              place={chambers.length > 1 ? place + 1 : null}
              onChange={(part) => setChamber(place, part)}
            />
          ))}
        </div>
        <p class="worked-out" role="status">
          {oil ? (
            <Rich
              as={{ b: 'strong' }}
              of={[
                'log-screen.oil-in-all',
                { litres: threeDigits(oil.litres), gallons: threeDigits(oil.litres / LITRES_PER_GALLON) },
              ]}
            />
          ) : (
            say('log-screen.no-thickness')
          )}
        </p>
        <Follows at={visit.at} part={{ chambers: draftCondition.value.chambers }} />
        <div class="stepper">
          <span>{say('log-screen.chambers-dipped')}</span>
          <button
            type="button"
            aria-label={say('log-screen.chamber-fewer')}
            aria-disabled={chambers.length <= 1}
            onClick={() => setChamberCount(Math.max(1, chambers.length - 1))}
          >
            −
          </button>
          <output aria-live="polite">{chambers.length}</output>
          <button
            type="button"
            aria-label={say('log-screen.chamber-more')}
            aria-disabled={chambers.length >= MOST_CHAMBERS}
            onClick={() => setChamberCount(Math.min(MOST_CHAMBERS, chambers.length + 1))}
          >
            +
          </button>
        </div>
      </section>
      <section>
        <h2>{say('log-screen.sediment')}</h2>
        <div class="fields">
          <NumberField
            label={say('log-screen.depth', { units: units.value })}
            value={condition.sludgeMm}
            perUnit={perLength}
            isOptional
            isStrict
            most={MOST_SEDIMENT_MM / perLength}
            onNumber={(sludgeMm) => changeCondition({ sludgeMm })}
          />
        </div>
        <Follows at={visit.at} part={{ sludgeMm: condition.sludgeMm }} />
      </section>
      {CHECKS.map(({ legend, field, options }) => (
        <section key={field}>
          <Choices
            legend={say(legend)}
            isBig
            options={options.map(({ value, words }) => ({ value, words: say(words) }))}
            value={wordOf(condition[field])}
            onChoose={(word) =>
              // The same again takes it back: then it was not looked at.
              changeCondition({ [field]: wordOf(condition[field]) === word ? undefined : valueOfWord(word) })
            }
          />
          <Follows at={visit.at} part={{ [field]: condition[field] }} />
        </section>
      ))}
      {!isEmptyingKnown.value && (
        <label class="note-field">
          {say('log-screen.last-emptied')}
          <input
            type="date"
            value={visit.since}
            onInput={({ currentTarget }) => change({ since: currentTarget.value })}
          />
        </label>
      )}
    </>
  );
}

function ChamberFields({
  name,
  oilMm,
  areaM2,
  place,
  perLength,
  onChange,
}: VisitDraft['chambers'][number] & {
  /** Which chamber it is, from 1; null where it is the only one. */
  place: number | null;
  perLength: number;
  onChange: (part: Partial<VisitDraft['chambers'][number]>) => void;
}) {
  const [isOnMap] = useState(areaM2 !== undefined);
  const isUs = units.value === 'us';
  const chamber = name !== '' ? name : place !== null ? told('log-screen.chamber', { at: place }) : null;
  return (
    <>
      <NumberField
        label={
          chamber === null
            ? say('log-screen.thickness', { units: units.value })
            : say('log-screen.thickness-in', { chamber, units: units.value })
        }
        value={oilMm}
        perUnit={perLength}
        isOptional
        isStrict
        most={MOST_OIL_MM / perLength}
        onNumber={(mm) => onChange({ oilMm: mm })}
      />
      {!isOnMap && (
        <NumberField
          label={say('log-screen.size', { units: units.value })}
          value={areaM2}
          perUnit={isUs ? SQUARE_FOOT : 1}
          isOptional
          isStrict
          isPositive
          most={MOST_M2}
          onNumber={(m2) => onChange({ areaM2: m2 })}
        />
      )}
    </>
  );
}

/** What is looked at besides depths, in the order in which one comes upon it. */
const CHECKS: readonly { field: Check; legend: PageKey; options: readonly { value: string; words: PageKey }[] }[] = [
  {
    field: 'packs',
    legend: 'log-screen.check-packs',
    options: [
      { value: 'in-place', words: 'log-screen.packs-in-place' },
      { value: 'adrift', words: 'log-screen.packs-adrift' },
      { value: 'missing', words: 'log-screen.packs-missing' },
    ],
  },
  {
    field: 'sorbent',
    legend: 'log-screen.check-sorbent',
    options: [
      { value: 'fresh', words: 'log-screen.sorbent-fresh' },
      { value: 'used', words: 'log-screen.sorbent-used' },
      { value: 'soaked', words: 'log-screen.sorbent-soaked' },
    ],
  },
  {
    field: 'packsRide',
    legend: 'log-screen.check-packs-ride',
    options: [
      { value: 'high', words: 'log-screen.packs-ride-high' },
      { value: 'deep', words: 'log-screen.packs-ride-deep' },
    ],
  },
  {
    field: 'debris',
    legend: 'log-screen.check-debris',
    options: [
      { value: 'false', words: 'log-screen.debris-none' },
      { value: 'true', words: 'log-screen.debris-some' },
    ],
  },
  {
    field: 'plates',
    legend: 'log-screen.check-plates',
    options: [
      { value: 'sound', words: 'log-screen.plates-sound' },
      { value: 'broken', words: 'log-screen.plates-broken' },
      { value: 'deformed', words: 'log-screen.plates-deformed' },
      { value: 'cracked', words: 'log-screen.plates-cracked' },
      { value: 'none', words: 'log-screen.plates-none' },
    ],
  },
  {
    field: 'concrete',
    legend: 'log-screen.check-concrete',
    options: [
      { value: 'sound', words: 'log-screen.concrete-sound' },
      { value: 'cracked', words: 'log-screen.concrete-cracked' },
    ],
  },
  {
    field: 'sheenAtOutlet',
    legend: 'log-screen.check-outlet',
    options: [
      { value: 'false', words: 'log-screen.outlet-clear' },
      { value: 'true', words: 'log-screen.outlet-sheen' },
    ],
  },
];

const wordOf = (value: string | boolean | undefined): string | null => (value === undefined ? null : String(value));
const valueOfWord = (word: string): string | boolean => (word === 'true' ? true : word === 'false' ? false : word);

/** What follows from one thing that was seen, right under it. */
function Follows({ at, part }: { at: string; part: Condition }) {
  const structure = structureOf(at);
  const steps = structure ? joinedSteps(stepsAfter(part, fillLimits(structure)), voice.value) : [];
  return (
    <div class="follows" role="status">
      {steps.map(({ say, why }) => (
        <p key={say}>
          <strong>{say}</strong> {why}
        </p>
      ))}
    </div>
  );
}

/** All that follows, most pressing first. */
function WhatFollows({ at }: { at: string }) {
  const structure = structureOf(at);
  const steps = structure ? joinedSteps(stepsAfter(draftCondition.value, fillLimits(structure)), voice.value) : [];
  if (steps.length === 0) return null;
  return (
    <section aria-labelledby="what-follows">
      <h2 id="what-follows">{say('log-screen.what-follows')}</h2>
      <ol class="what-follows">
        {steps.map(({ say }) => (
          <li key={say}>{say}</li>
        ))}
      </ol>
    </section>
  );
}

const OFFERED: readonly Seen[] = ['clean', 'oil'];

/** A place that is no separator is clean, or it is not. */
function LookField({ visit: { seen } }: { visit: VisitDraft }) {
  return (
    <section>
      <Choices
        legend={say('log-screen.what-seen')}
        isBig
        options={[
          { value: 'clean', words: say('log-screen.seen-clean') },
          { value: 'oil', words: say('log-screen.seen-oil') },
          // A word that the entry under correction has, and that is not offered here.
          ...(seen === undefined || OFFERED.includes(seen)
            ? []
            : [{ value: seen, words: seenCell(seen, voice.value) }]),
        ]}
        value={seen ?? null}
        onChoose={(chosen) => change({ seen: seen === chosen ? undefined : chosen })}
      />
    </section>
  );
}
