import type { TargetedEvent } from 'preact';
import { useRef, useState } from 'preact/hooks';
import type { Seen } from '../../../sources/index.ts';
import { formatVolume, METRES_PER_FOOT, MM_PER_INCH } from '../../../units/index.ts';
import { type Condition, fillLimits, oilIn, stepsAfter } from '../../../upkeep/index.ts';
import { joinedSteps, VISIT_CAUTIONS, visitSeenWords } from '../../../words/index.ts';
import { Choices } from '../parts/choices.tsx';
import { NameField } from '../parts/name-field.tsx';
import { focusFirstInvalid, NumberField } from '../parts/number-field.tsx';
import { PlaceSelect } from '../parts/place-select.tsx';
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
import { nameOf, units } from '../state/yard.ts';
import { FormTrouble } from './form-trouble.tsx';
import { PhotoField } from './photos.tsx';

/** The visit form: what the trade looks at, one thing after the other, each with what follows from it. */
export function VisitForm() {
  const [trouble, setTrouble] = useState<string | null>(null);
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
    if (isSafe) showKept(`The visit of ${nameOf(visit.at)} is kept.`);
    else setTrouble(NO_ROOM);
  };
  return (
    <form class="log-form" onSubmit={keep} noValidate>
      {isDraftRestored.value && (
        <p class="draft-note" role="status">
          This was begun before and not kept.
          <button type="button" class="quiet" onClick={discardDraft}>
            Begin afresh
          </button>
        </p>
      )}
      <div class="fields">
        <PlaceSelect at={visit.at} onChange={moveTo} />
        <NameField />
        <WhenField when={visit.when} onWhen={(when) => change({ when })} />
      </div>
      {isSeparator ? <SeparatorFields key={visit.at} visit={visit} /> : <LookField visit={visit} />}
      <PhotoField photos={visit.photos} onChange={(update) => change({ photos: update(draft.value?.photos ?? []) })} />
      <label class="note-field">
        Anything else
        <textarea rows={3} value={visit.note} onInput={({ currentTarget }) => change({ note: currentTarget.value })} />
      </label>
      <WhatFollows at={visit.at} />
      <FormTrouble shown={trouble} wrong={wrong} />
      <button type="submit" class="big strong">
        Keep this visit
      </button>
      <ul class="plain-list care">
        {VISIT_CAUTIONS.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
    </form>
  );
}

const SQUARE_FOOT = METRES_PER_FOOT ** 2;
const MOST_CHAMBERS = 6;
/** More than any vault is deep, or large: a slip of the finger. */
const [MOST_OIL_MM, MOST_SEDIMENT_MM, MOST_M2] = [3_000, 5_000, 10_000];

function SeparatorFields({ visit }: { visit: VisitDraft }) {
  const isUs = units.value === 'us';
  const [length, perLength] = isUs ? ['inches', MM_PER_INCH] : ['mm', 1];
  const { chambers, condition } = visit;
  const oil = oilIn(draftCondition.value);
  const setChamber = (place: number, part: Partial<VisitDraft['chambers'][number]>) =>
    change({ chambers: chambers.map((each, at) => (at === place ? { ...each, ...part } : each)) });
  return (
    <>
      <section>
        <h2>Oil, by dip stick</h2>
        <div class="fields">
          {chambers.map(({ name, oilMm, areaM2 }, place) => (
            <ChamberFields
              key={`${place} ${chambers.length}`}
              {...{ name, oilMm, areaM2, length, perLength, isUs }}
              onChange={(part) => setChamber(place, part)}
            />
          ))}
        </div>
        <p class="worked-out" role="status">
          {oil && <strong>{`${formatVolume(oil.litres, 'si')}, ${formatVolume(oil.litres, 'us')}`}</strong>}
          {oil ? ' of oil.' : 'Without a thickness this visit does not say how full it is.'}
        </p>
        <Follows at={visit.at} part={{ chambers: draftCondition.value.chambers }} />
        <div class="stepper">
          <span>Chambers that you dip</span>
          <button
            type="button"
            aria-label="One chamber fewer"
            aria-disabled={chambers.length <= 1}
            onClick={() => setChamberCount(Math.max(1, chambers.length - 1))}
          >
            −
          </button>
          <output aria-live="polite">{chambers.length}</output>
          <button
            type="button"
            aria-label="One chamber more"
            aria-disabled={chambers.length >= MOST_CHAMBERS}
            onClick={() => setChamberCount(Math.min(MOST_CHAMBERS, chambers.length + 1))}
          >
            +
          </button>
        </div>
      </section>
      <section>
        <h2>Sediment</h2>
        <div class="fields">
          <NumberField
            label={`Depth, ${length}`}
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
            legend={legend}
            isBig
            options={options}
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
          Last pumped out, if you know
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
  length,
  perLength,
  isUs,
  onChange,
}: VisitDraft['chambers'][number] & {
  length: string;
  perLength: number;
  isUs: boolean;
  onChange: (part: Partial<VisitDraft['chambers'][number]>) => void;
}) {
  const [isOnMap] = useState(areaM2 !== undefined);
  const where = name === '' ? '' : `${name[0].toUpperCase()}${name.slice(1)}: `;
  return (
    <>
      <NumberField
        label={`${where}thickness, ${length}`.replace(/^t/, 'T')}
        value={oilMm}
        perUnit={perLength}
        isOptional
        isStrict
        most={MOST_OIL_MM / perLength}
        onNumber={(mm) => onChange({ oilMm: mm })}
      />
      {!isOnMap && (
        <NumberField
          label={`Its size, ${isUs ? 'ft²' : 'm²'}`}
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
const CHECKS: readonly { field: Check; legend: string; options: readonly { value: string; words: string }[] }[] = [
  {
    field: 'packs',
    legend: 'Sorbent packs',
    options: [
      { value: 'in-place', words: 'In place' },
      { value: 'adrift', words: 'Adrift' },
      { value: 'missing', words: 'Missing' },
    ],
  },
  {
    field: 'sorbent',
    legend: 'Their colour says',
    options: [
      { value: 'fresh', words: 'Fresh' },
      { value: 'used', words: 'Used, room left' },
      { value: 'soaked', words: 'Soaked' },
    ],
  },
  {
    field: 'packsRide',
    legend: 'They ride',
    options: [
      { value: 'high', words: 'High' },
      { value: 'deep', words: 'Deep' },
    ],
  },
  {
    field: 'debris',
    legend: 'Floating debris',
    options: [
      { value: 'false', words: 'None' },
      { value: 'true', words: 'Some' },
    ],
  },
  {
    field: 'plates',
    legend: 'Plates',
    options: [
      { value: 'sound', words: 'Sound' },
      { value: 'broken', words: 'Broken' },
      { value: 'deformed', words: 'Deformed' },
      { value: 'cracked', words: 'Cracked' },
      { value: 'none', words: 'It has none' },
    ],
  },
  {
    field: 'concrete',
    legend: 'Concrete',
    options: [
      { value: 'sound', words: 'Sound' },
      { value: 'cracked', words: 'Cracked' },
    ],
  },
  {
    field: 'sheenAtOutlet',
    legend: 'Water at the outlet',
    options: [
      { value: 'false', words: 'Clear' },
      { value: 'true', words: 'A sheen' },
    ],
  },
];

const wordOf = (value: string | boolean | undefined): string | null => (value === undefined ? null : String(value));
const valueOfWord = (word: string): string | boolean => (word === 'true' ? true : word === 'false' ? false : word);

/** What follows from one thing that was seen, right under it. */
function Follows({ at, part }: { at: string; part: Condition }) {
  const structure = structureOf(at);
  const steps = structure ? joinedSteps(stepsAfter(part, fillLimits(structure))) : [];
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
  const steps = structure ? joinedSteps(stepsAfter(draftCondition.value, fillLimits(structure))) : [];
  if (steps.length === 0) return null;
  return (
    <section aria-labelledby="what-follows">
      <h2 id="what-follows">What follows</h2>
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
        legend="What was seen there"
        isBig
        options={[
          { value: 'clean', words: 'Clean' },
          { value: 'oil', words: 'Oily' },
          // A word that the entry under correction has, and that is not offered here.
          ...(seen === undefined || OFFERED.includes(seen) ? [] : [{ value: seen, words: visitSeenWords(seen).cell }]),
        ]}
        value={seen ?? null}
        onChoose={(chosen) => change({ seen: seen === chosen ? undefined : chosen })}
      />
    </section>
  );
}
