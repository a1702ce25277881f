import './how-full.css';
import { type Action, actionFor, type DueWork, stepsLeft } from '../../../log-book/index.ts';
import { fillLimits } from '../../../upkeep/index.ts';
import {
  contractorOf,
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
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
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
            {say('full-screen.log-visit')}
          </button>
        )}
        <button type="button" onClick={() => openLog('list')}>
          {entries.value.length > 0
            ? say('full-screen.log-book-count', { count: entries.value.length })
            : say('app.log-book')}
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
        <h2>{say('app.take-care')}</h2>
        <ul class="plain-list care">
          {visitCautions(voice.value).map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      </section>
      <section>
        <h2>{say('app.what-is-assumed')}</h2>
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
  const phone = contractorOf(contacts)?.phone;
  if (phone === undefined) return <p class="plan-hint">{say('full-screen.no-contractor')}</p>;
  return (
    <a class="action contractor" href={`tel:${phone.replace(/[^+\d]/g, '')}`}>
      <span>
        <strong>{say('full-screen.call-contractor')}</strong>
        <span>{contractorWords(contacts, voice.value)}</span>
      </span>
    </a>
  );
}

type Visit = NonNullable<typeof chosenSeparator.value>;
const sentencesOf = (visit: Visit) => fullSentences(visit, { name: nameOf(visit.id), today: today.value }, voice.value);

/** What is told first, on screen and on paper. */
export function spokenFull(): string {
  if (!upkeep.value) return say('app.working');
  const visit = chosenSeparator.value;
  return visit ? keepTogether(sentencesOf(visit)[0]) : say('full-screen.no-separator');
}

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
      <h2 id="steps-left">{say('full-screen.steps-left', { at: nameOf(at) })}</h2>
      <ul class="due-list">
        {joinedSteps(left, voice.value).map(({ say: step, why }) => (
          <li key={step} class="due-row">
            <span>
              {step} <span class="due-more">{why}</span>
            </span>
            <StepDone action={actions.get(step) ?? null} step={step} at={at} />
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Opens the form that writes down what was done; what no entry says, the next visit sees. */
function StepDone({ action, step, at }: { action: Action | null; step: string; at: string }) {
  if (action === null) return <span class="due-more">{say('full-screen.next-visit-shows')}</span>;
  if (!mayWrite.value) return <span />;
  const isPumpOut = action === 'pump-out';
  return (
    <button
      type="button"
      class="quiet"
      aria-label={say(isPumpOut ? 'full-screen.was-pumped-out-step' : 'full-screen.done-step', { step })}
      onClick={() => openLog({ done: { action, at } })}
    >
      {say(isPumpOut ? 'full-screen.was-pumped-out' : 'full-screen.done')}
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
      <h2 id="due">{say('full-screen.what-is-due')}</h2>
      <ul class="due-list">{rows.map(({ row }) => row)}</ul>
    </section>
  );
}

function DueVisitRow({ visit }: { visit: Visit }) {
  const { id, due, state, oilMm, oilLitres } = visit;
  const isChosen = chosenSeparator.value?.id === id;
  const held = oilLitres === null ? null : oilMm === null ? { litres: oilLitres } : { millimetres: oilMm };
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
        <span>{say('full-screen.read', { separator: nameOf(id) })}</span>
        <strong>{dayWords(due, today.value, voice.value)}</strong>
        <span class="due-more">
          {held === null ? say('full-screen.not-read-yet') : say(`full-screen.held-${state}`, { held })}
        </span>
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
        <button type="button" class="quiet" onClick={() => openLog({ close: work.id })}>
          {say('full-screen.is-done')}
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
    [
      say('full-screen.sediment'),
      sludgeMm === null ? say('full-screen.not-read') : thicknessWords(sludgeMm, voice.value),
    ],
    [
      say('full-screen.pump-out-at'),
      limitLitres === null ? say('full-screen.size-unknown') : voice.value.text({ litres: limitLitres }),
    ],
    [
      say('full-screen.pillows-take'),
      packLitres === null ? say('full-screen.not-known') : voice.value.text({ litres: packLitres }),
    ],
  ];
  if (litresPerYear !== null)
    facts.push([say('full-screen.catches'), say('full-screen.about-a-year', { volume: { litres: litresPerYear } })]);
  if (packDays !== null && readAt !== null)
    facts.push([
      say('full-screen.new-pillows'),
      packDays <= 0 ? say('full-screen.pillows-now') : say('full-screen.pillows-after', { count: packDays }),
    ]);
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
          <caption>{say('full-screen.limit-chance')}</caption>
          <thead>
            <tr>
              {limitChanceByDays.map(({ days }) => (
                <th key={days} scope="col">
                  {say('full-screen.days', { count: days })}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            <tr>
              {limitChanceByDays.map(({ days, chance }) => (
                <td key={days}>{voice.value.text({ share: chance })}</td>
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
  const rests =
    readAt === null
      ? say('full-screen.nobody-measured')
      : say(answer.isFromBook ? 'full-screen.rests-on-book' : 'full-screen.rests-on-map', {
          count: readings,
          day: dayWords(readAt, today.value, voice.value),
        });
  const band = fillByDays.length > 0 ? [say('full-screen.band')] : [];
  return (
    <section>
      <h2>{say('app.how-sure')}</h2>
      <p class="plan-hint">{[rests, ...band].join(' ')}</p>
      {answer.problems.length > 0 && <ProblemList problems={answer.problems} isOnMap={() => false} />}
      {bookState.value === 'here' && yard.value?.demo && <p class="plan-hint">{say('full-screen.invented-book')}</p>}
    </section>
  );
}
