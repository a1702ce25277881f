import './how-full.css';
import { type Action, actionFor, type DueWork, stepsLeft } from '../../../log-book/index.ts';
import { formatShare, formatVolume } from '../../../units/index.ts';
import { fillLimits } from '../../../upkeep/index.ts';
import {
  contractorWords,
  dayWords,
  dueWords,
  fullSentences,
  joinedSteps,
  stepWords,
  thicknessWords,
  throughWords,
  upkeepAssumptions,
  visitCautions,
} from '../../../words/index.ts';
import { BookNote } from '../parts/book-note.tsx';
import { CopyNotes } from '../parts/copy-notes.tsx';
import { keepTogether } from '../parts/keep-together.ts';
import { ProblemList } from '../parts/problem-list.tsx';
import { bookState, entries, mayWrite } from '../state/log-book.ts';
import { logVisit, openLog } from '../state/log-view.ts';
import { pick, structureOf } from '../state/picked.ts';
import { chooseSeparator, chosenSeparator, isReading, today, upkeep, workDue } from '../state/upkeep.ts';
import { voice } from '../state/voice.ts';
import { nameOf, units, yard } from '../state/yard.ts';
import { CalendarPart } from './calendar-part.tsx';
import { FillChart } from './fill-chart.tsx';

/** How full each separator is, and when to come back. */
export function HowFull() {
  const visit = chosenSeparator.value;
  return (
    <div class="how-full">
      <p class="answer" aria-live="polite" aria-busy={isReading.value}>
        {spokenFull()}
      </p>
      {visit && <p class="plan-more">{sentencesOf(visit).slice(1).join(' ')}</p>}
      {visit?.state === 'pump-out' && <Contractor />}
      <div class="log-acts">
        {mayWrite.value && (
          <button type="button" class="strong" onClick={() => void logVisit(visit?.id)}>
            Log a visit
          </button>
        )}
        <button type="button" onClick={() => openLog('list')}>
          {entries.value.length > 0 ? `Log book (${entries.value.length})` : 'Log book'}
        </button>
      </div>
      <CopyNotes />
      <BookNote />
      <StepsLeft />
      <DueList />
      {visit && <Separator />}
      <Sure />
      <CalendarPart />
      <section>
        <h2>Take care</h2>
        <ul class="plain-list care">
          {visitCautions(voice.value).map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      </section>
      <section>
        <h2>What is assumed</h2>
        <ul class="plain-list">
          {upkeepAssumptions(voice.value).map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      </section>
    </div>
  );
}

/** Whom to call for a pump-out, as the map names them. */
function Contractor() {
  const contacts = yard.value?.map.site.contacts ?? [];
  const words = contractorWords(contacts, voice.value);
  const phone = contacts.find((each) => each.phone && words.includes(each.phone))?.phone;
  if (phone === undefined) {
    return <p class="plan-hint">The map names no contractor: write one into its contacts, with a phone number.</p>;
  }
  return (
    <a class="action contractor" href={`tel:${phone.replace(/[^+\d]/g, '')}`}>
      <span>
        <strong>Call the contractor</strong>
        <span>{words}</span>
      </span>
    </a>
  );
}

type Visit = NonNullable<typeof chosenSeparator.value>;
const sentencesOf = (visit: Visit) => fullSentences(visit, { name: nameOf(visit.id), today: today.value }, voice.value);

/** What is told first, on screen and on paper. */
export function spokenFull(): string {
  if (!upkeep.value) return 'Working it out …';
  const visit = chosenSeparator.value;
  return visit ? keepTogether(sentencesOf(visit)[0]) : 'This map has no separator.';
}

const STATE_WORDS = { fine: 'fine', watch: 'watch it', 'pump-out': 'pump out' } as const;

/** What the last visit asks for and was not done since. */
function StepsLeft() {
  const visit = chosenSeparator.value;
  const structure = visit && structureOf(visit.id);
  if (!structure) return null;
  const at = structure.id;
  const left = stepsLeft(entries.value, at, fillLimits(structure), yard.value?.map.site.timeZone);
  if (left.length === 0) return null;
  // Steps that say the same are done by the same.
  const actions = new Map(left.map((step) => [stepWords(step, voice.value).say, actionFor(step)]));
  return (
    <section aria-labelledby="steps-left">
      <h2 id="steps-left">{`To do since the last visit of ${nameOf(at)}`}</h2>
      <ul class="due-list">
        {joinedSteps(left, voice.value).map(({ say, why }) => (
          <li key={say} class="due-row">
            <span>
              {say} <span class="due-more">{why}</span>
            </span>
            <StepDone action={actions.get(say) ?? null} say={say} at={at} />
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Opens the form that writes down what was done; what no entry says, the next visit sees. */
function StepDone({ action, say, at }: { action: Action | null; say: string; at: string }) {
  if (action === null) return <span class="due-more">the next visit shows it</span>;
  if (!mayWrite.value) return <span />;
  const words = action === 'pump-out' ? 'It was pumped out' : 'Done';
  return (
    <button
      type="button"
      class="quiet"
      aria-label={`${words}: ${say}`}
      onClick={() => openLog({ done: { action, at } })}
    >
      {words}
    </button>
  );
}

/** Visits and work, the soonest first. */
function DueList() {
  const visits = upkeep.value?.visits ?? [];
  if (visits.length === 0 && workDue.value.length === 0) return null;
  const rows = [
    ...visits.map((visit) => ({ due: visit.due, row: <DueVisitRow key={visit.id} visit={visit} /> })),
    ...workDue.value.map((work) => ({
      due: work.due,
      row: <DueWorkRow key={work.id} work={work} />,
    })),
  ].sort((a, b) => (a.due < b.due ? -1 : a.due > b.due ? 1 : 0));
  return (
    <section aria-labelledby="due">
      <h2 id="due">What is due</h2>
      <ul class="due-list">{rows.map(({ row }) => row)}</ul>
    </section>
  );
}

function DueVisitRow({ visit }: { visit: Visit }) {
  const { id, due, state, oilMm, oilLitres } = visit;
  const isChosen = chosenSeparator.value?.id === id;
  const held =
    oilLitres === null
      ? 'not read yet'
      : oilMm === null
        ? formatVolume(oilLitres, units.value)
        : thicknessWords(oilMm, voice.value);
  return (
    <li>
      <button
        type="button"
        class="due-row"
        aria-pressed={isChosen}
        onClick={() => {
          chooseSeparator(id);
          pick(id);
        }}
      >
        <span>{`Read ${nameOf(id)}`}</span>
        <strong>{dayWords(due, today.value, voice.value)}</strong>
        <span class="due-more">{oilLitres === null ? held : `${held}, ${STATE_WORDS[state]}`}</span>
        <span class="due-more">{dueWords(due, today.value, voice.value)}</span>
      </button>
    </li>
  );
}

function DueWorkRow({ work }: { work: DueWork }) {
  const { due, note } = work;
  return (
    <li class="due-row">
      <span>{note}</span>
      <strong>{dayWords(due, today.value, voice.value)}</strong>
      {mayWrite.value ? (
        <button type="button" class="quiet" onClick={() => openLog({ close: work })}>
          It is done
        </button>
      ) : (
        <span />
      )}
      <span class="due-more">{dueWords(due.slice(0, 10), today.value, voice.value)}</span>
    </li>
  );
}

/** The separator that is looked at: its chart, and what else is known of it. */
function Separator() {
  const visit = chosenSeparator.value;
  const answer = upkeep.value;
  if (!visit || !answer) return null;
  const { id, sludgeMm, limitLitres, packLitres, packDays, readAt, litresPerYear, limitChanceByDays } = visit;
  const hasPlates = structureOf(id)?.properties.plates === true;
  const through = throughWords(visit, { hasPlates, isDesignFlow: true }, voice.value);
  const facts: [string, string][] = [
    ['Sediment', sludgeMm === null ? 'not read' : thicknessWords(sludgeMm, voice.value)],
    [
      'Pump-out at',
      limitLitres === null ? 'the map does not say how large it is' : formatVolume(limitLitres, units.value),
    ],
    ['Packs can take', packLitres === null ? 'not known' : formatVolume(packLitres, units.value)],
  ];
  if (litresPerYear !== null) facts.push(['It catches', `about ${formatVolume(litresPerYear, units.value)} a year`]);
  if (packDays !== null && readAt !== null)
    facts.push(['New packs about', packDays <= 0 ? 'now' : `${packDays} days after the last reading`]);
  return (
    <section aria-labelledby="separator">
      <h2 id="separator">{nameOf(id)}</h2>
      <FillChart visit={visit} readings={answer.readings[id] ?? []} oilLimitMm={answer.limits[id]?.oilLimitMm ?? 0} />
      <dl class="facts">
        {facts.map(([label, value]) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {through !== '' && <p class="plan-hint">{through}</p>}
      {limitChanceByDays.length > 0 && (
        <table class="ends chances">
          <caption>Chance that it passes its limit</caption>
          <thead>
            <tr>
              {limitChanceByDays.map(({ days }) => (
                <th key={days} scope="col">{`${days} d`}</th>
              ))}
            </tr>
          </thead>
          <tbody>
            <tr>
              {limitChanceByDays.map(({ days, chance }) => (
                <td key={days}>{formatShare(chance)}</td>
              ))}
            </tr>
          </tbody>
        </table>
      )}
    </section>
  );
}

function Sure() {
  const visit = chosenSeparator.value;
  const answer = upkeep.value;
  if (!visit || !answer) return null;
  const { readings, readAt, fillByDays } = visit;
  const from = answer.isFromBook ? 'in the log book' : 'among the findings of this map';
  const none = answer.isFromBook ? '' : ' The log book has none yet.';
  const rests =
    readAt === null
      ? 'Nobody has measured its oil yet.'
      : `It rests on ${readings} ${readings === 1 ? 'reading' : 'readings'} ${from}, the last of ${dayWords(readAt, today.value, voice.value)}.${none}`;
  const band = fillByDays.length > 0 ? ' The band is where it lies 9 times in 10 if the yard goes on as it did.' : '';
  return (
    <section>
      <h2>How sure</h2>
      <p class="plan-hint">{rests + band}</p>
      {answer.problems.length > 0 && <ProblemList problems={answer.problems} isOnMap={() => false} />}
      {bookState.value === 'here' && yard.value?.demo && (
        <p class="plan-hint">This is an invented yard: what you write down stays in this log book all the same.</p>
      )}
    </section>
  );
}
