import { instantOf } from '../../../site-map/index.ts';
import { isSeen } from '../../../sources/index.ts';
import { formatVolume } from '../../../units/index.ts';
import type { Step } from '../../../upkeep/index.ts';
import {
  type ConditionLine,
  conditionWords,
  daysApart,
  fullDay,
  joinedSteps,
  stepWords,
  thicknessWords,
  visitSeenWords,
  writerWords,
} from '../../../words/index.ts';
import { shortened } from '../binder.ts';
import { FillHistory } from './fill-history.tsx';
import { Care, Sign, Stamp, Verification } from './parts.tsx';
import type { EntryPhotos } from './photos.ts';
import { capital, entryNumbers, namesFor, type Printing } from './printing.ts';
import { reportPage } from './report-page.tsx';
import { whenWords } from './times.ts';
import type { VisitReport } from './visit-report.ts';

/** The most photos of a visit on its page. */
export const MOST_PHOTOS = 4;
/** Letters of a note that a page has room for, in the narrow column above photos and across the page without. */
const [NOTE_BY_PHOTOS, NOTE_ALONE] = [300, 800];
/** More steps than this are written smaller. */
const MANY_STEPS = 4;
/** Chambers that are listed one by one. */
const MOST_CHAMBERS = 3;

/** The report of one visit, on one page. */
export function visitPage(report: VisitReport, photos: EntryPhotos, printing: Printing): string {
  const { entry } = report;
  return reportPage({
    title: `Visit, entry ${entry.seq}: ${printing.siteName}`,
    paper: printing.paper,
    pageStyle: 'margin:0',
    body: <VisitSheet report={report} photos={photos} printing={printing} />,
  });
}

interface Props {
  report: VisitReport;
  printing: Printing;
}

function VisitSheet({ report, photos, printing }: Props & { photos: EntryPhotos }) {
  const { entry, steps, corrections } = report;
  return (
    <article class="sheet">
      <Head report={report} printing={printing} />
      {corrections.length > 0 && <Corrected report={report} />}
      <section class="answer">
        <div>
          <h2>{report.answer}</h2>
          {corrections.length === 0 && <Work steps={steps} />}
          {report.pumpedOut && (
            <p>{`It was pumped out on ${whenWords(report.pumpedOut.at, printing.timeZone)}, entry ${report.pumpedOut.seq}.`}</p>
          )}
        </div>
        {report.state && corrections.length === 0 && <StateStamp state={report.state} />}
      </section>
      <Seen report={report} printing={printing} hasPhotos={photos.shown.length > 0} />
      {photos.shown.length === 0 && <Note entry={entry} most={NOTE_ALONE} />}
      <Photos photos={photos} total={entry.photos?.length ?? 0} />
      <Basis report={report} printing={printing} />
      <Sign />
      <Care />
      <footer>
        <Verification entry={entry} printing={printing} />
        <Stamp printing={printing} what={`visit, entry ${entry.seq}`} />
      </footer>
    </article>
  );
}

function Head({ report: { entry }, printing }: Props) {
  const { siteName, timeZone } = printing;
  const place = entry.body.at;
  const name = place !== undefined ? namesFor(printing)(place) : 'The yard';
  return (
    <header>
      {place !== undefined && <div class="place-id">{shortened(place, 14)}</div>}
      <div class="title">
        <p>{`Inspection report · ${shortened(siteName, 60)}`}</p>
        <h1>{name}</h1>
        <p>
          <b>{whenWords(entry.at, timeZone)}</b>
          {`, by ${writerWords(entry, (name) => shortened(name, 60))}`}
        </p>
      </div>
    </header>
  );
}

function Corrected({ report: { corrections, entry } }: Pick<Props, 'report'>) {
  return (
    <section class="corrected">
      <b>{`${capital(entryNumbers(corrections))} ${corrections.length === 1 ? 'corrects' : 'correct'} entry ${entry.seq}.`}</b>{' '}
      {corrections
        .slice(0, 2)
        .map(({ seq, body }) => `Entry ${seq} says: “${shortened(body.note, 220)}”`)
        .join(' ')}{' '}
      Below is what was written first.
    </section>
  );
}

const STATES = { fine: 'Fine', watch: 'Watch', 'pump-out': 'Pump out' } as const;

/** The state as a word in a box, and by its weight: outlined, striped, black. */
const StateStamp = ({ state }: { state: keyof typeof STATES }) => (
  <div class={`state ${state}`}>
    <span>{`${state === 'fine' ? '✓ ' : ''}${STATES[state]}`}</span>
  </div>
);

function Work({ steps }: { steps: readonly Step[] }) {
  if (steps.length === 0) return null;
  const listed = joinedSteps(steps);
  return (
    <ol class={listed.length > MANY_STEPS ? 'many' : undefined}>
      {listed.map(({ say, why }) => (
        <li key={say}>
          <b>{say}</b> {why}
        </li>
      ))}
    </ol>
  );
}

/** What was looked at, what was seen there and what follows. */
function Seen({ report, printing, hasPhotos }: Props & { hasPhotos: boolean }) {
  const { condition, corrections, entry, steps, filling, structure } = report;
  const { units } = printing;
  const lines = withFewChambers(conditionWords(condition, units));
  const seen = isSeen(entry.body.seen) ? visitSeenWords(entry.body.seen).cell : null;
  return (
    <section class="seen">
      <table>
        <thead>
          <tr>
            <th>Looked at</th>
            <th>Seen</th>
            <th>What follows</th>
          </tr>
        </thead>
        <tbody>
          {seen !== null && (
            <tr>
              <td>Oil</td>
              <td>{seen}</td>
              <td />
            </tr>
          )}
          {lines.map(({ label, value, steps: can }) => (
            <tr key={label}>
              <td>{shortened(label, 40)}</td>
              <td>
                <b>{value}</b>
              </td>
              <td>{structure?.kind === 'separator' && corrections.length === 0 ? follows(can, steps) : ''}</td>
            </tr>
          ))}
          {lines.length === 0 && seen === null && (
            <tr>
              <td colspan={3}>Nothing was measured or ticked at this visit.</td>
            </tr>
          )}
        </tbody>
      </table>
      <div>
        {filling && (
          <figure>
            <figcaption>Oil in it, the year before</figcaption>
            <FillHistory filling={filling} {...CHART_MM} units={units} label="Oil over the year before this visit" />
          </figure>
        )}
        {hasPhotos && <Note entry={entry} most={NOTE_BY_PHOTOS} />}
      </div>
    </section>
  );
}

const CHART_MM = { widthMm: 68, heightMm: 38 };
const BLANK_LINES = Array.from({ length: 9 }, (_, line) => line);

function follows(can: readonly Step[], steps: readonly Step[]): string {
  const due = can.filter((step) => steps.includes(step));
  if (due.length > 0) return due.map((step) => stepWords(step).say).join(' ');
  return can.length > 0 ? '✓ nothing to do' : '';
}

/** The first chambers, and the line that sums up all of them. */
function withFewChambers(lines: ConditionLine[]): ConditionLine[] {
  const chambers = lines.filter(({ label }) => label.startsWith('Oil,'));
  const hidden = new Set(chambers.slice(MOST_CHAMBERS));
  return lines
    .filter((line) => !hidden.has(line))
    .map((line) =>
      hidden.size > 0 && line.label === 'Oil in all'
        ? { ...line, label: `Oil in all ${chambers.length} chambers` }
        : line,
    );
}

function Note({ entry, most }: { entry: VisitReport['entry']; most: number }) {
  const { note = '' } = entry.body;
  if (note.trim() === '') return null;
  const words = note.replace(/\s+/g, ' ').trim();
  return (
    <p class="note">
      <b>Note.</b> {shortened(words, most)}
      {words.length > most && <em> The log book has the rest.</em>}
    </p>
  );
}

function Photos({ photos: { shown, leftOut }, total }: { photos: EntryPhotos; total: number }) {
  const more = total - shown.length - leftOut.length;
  const words = [
    ...(leftOut.length > 0
      ? [
          `${leftOut.length === 1 ? 'A photo is' : `${leftOut.length} photos are`} left out: ${[...new Set(leftOut)].join('; ')}.`,
        ]
      : []),
    ...(more > 0 ? [`And ${more} more in the log book.`] : []),
  ];
  return (
    <section class={shown.length > 0 ? 'photos' : 'by-hand'}>
      {shown.length > 0 ? (
        <div class={`grid of-${shown.length}`}>
          {shown.map(({ name, address }, at) => (
            <figure key={name}>
              <img src={address} alt={`What was seen, ${at + 1}`} />
              <figcaption>{`${at + 1} · ${name.slice(0, 12)}`}</figcaption>
            </figure>
          ))}
        </div>
      ) : (
        <div class="lines">
          <p>{total === 0 ? 'No photo was taken. By hand:' : 'By hand:'}</p>
          {BLANK_LINES.map((line) => (
            <p key={line} />
          ))}
        </div>
      )}
      {words.length > 0 && <p class="photo-words">{words.join(' ')}</p>}
    </section>
  );
}

/** What the answer rests on. */
function Basis({ report, printing }: Props) {
  const { entry, due, limits, misfits, filling } = report;
  const { units, timeZone, nowMs } = printing;
  return (
    <div class="basis">
      <p>
        <b>{due === null ? 'Next visit' : `Next visit due by ${fullDay(due)}`}</b>
        {dueWords(report)} Seen {daysApart(instantOf(entry.at, timeZone) ?? nowMs, nowMs)} before this was printed.
      </p>
      {limits && (
        <p>
          <b>Limits used:</b> {thicknessWords(limits.oilLimitMm, units)} of oil
          {filling?.limitLitres ? ` (${formatVolume(filling.limitLitres, units)})` : ''},{' '}
          {thicknessWords(limits.sludgeLimitMm, units)} of sediment
          {limits.packLitres === null ? '' : `, packs for ${formatVolume(limits.packLitres, units)}`}.
        </p>
      )}
      {limits && (
        <p>
          <b>Assumed:</b> oil lies evenly over each chamber’s area; a dip is right within ×/÷ 1.2.
          {misfits > 0 && ` What does not fit the map was left out (${misfits}).`}
        </p>
      )}
    </div>
  );
}

/** What the day of the next visit rests on. */
function dueWords({ due, state, structure, readings, hasForecast }: VisitReport): string {
  if (due === null)
    return structure?.kind === 'separator'
      ? ': not worked out from a visit that was corrected.'
      : ': not worked out, this is no separator.';
  if (state === 'pump-out') return ', a day after: it was at a limit.';
  const from = `${readings} ${readings === 1 ? 'reading' : 'readings'}`;
  return hasForecast
    ? `, by ${from} up to this visit: no later than the chance of passing its oil limit stays under 5\u00a0%.`
    : `: ${from} up to this visit ${readings === 1 ? 'is' : 'are'} too few to say when it fills, so no later than monthly.`;
}
