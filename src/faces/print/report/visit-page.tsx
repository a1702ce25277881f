import type { Part, Voice } from '../../../catalogue/index.ts';
import { DAY_MS, instantOf } from '../../../site-map/index.ts';
import { isSeen } from '../../../sources/index.ts';
import type { FillLimits, FillState, Step } from '../../../upkeep/index.ts';
import {
  type ConditionLine,
  conditionWords,
  joinedSteps,
  seenCell,
  stepWords,
  writerWords,
} from '../../../words/index.ts';
import { shortened } from '../binder.ts';
import { rich } from '../rich.tsx';
import { FillHistory } from './fill-history.tsx';
import { Care, Sign, Stamp, Verification } from './parts.tsx';
import { type EntryPhotos, troubleWords } from './photos.ts';
import { entryNumbers, mapVersion, namesFor, type Printing } from './printing.ts';
import { reportPage } from './report-page.tsx';
import { dayWords, whenWords } from './times.ts';
import type { VisitReport } from './visit-report.ts';

/** The most photos of a visit on its page. */
export const MOST_PHOTOS = 4;
/** Letters of a note that a page has room for, in the narrow column above photos and across the page without. */
const [NOTE_BY_PHOTOS, NOTE_ALONE] = [300, 800];
/** More steps than this are written smaller. */
const MANY_STEPS = 4;
/** More lines of what was seen than this are written smaller. */
const MANY_LINES = 9;
/** Chambers that are listed one by one. */
const MOST_CHAMBERS = 3;

/** The report of one visit, on one page. */
export function visitPage(report: VisitReport, photos: EntryPhotos, printing: Printing): string {
  const { voice, siteName } = printing;
  return reportPage({
    title: voice.say('report.visit-title', { seq: String(report.entry.seq), site: siteName }),
    language: voice.language,
    paper: printing.paper,
    pageStyle: 'margin:0',
    body: <VisitSheet report={report} photos={photos} printing={printing} />,
  });
}

interface Props {
  report: VisitReport;
  printing: Printing;
}

interface Spoken {
  voice: Voice;
}

function VisitSheet({ report, photos, printing }: Props & { photos: EntryPhotos }) {
  const { entry, steps, corrections } = report;
  const { voice, timeZone, nowMs, siteName } = printing;
  const seq = String(entry.seq);
  return (
    <article class="sheet">
      <Head report={report} printing={printing} />
      {corrections.length > 0 && <Corrected report={report} voice={voice} />}
      <section class="answer">
        <div>
          <h2>{voice.tell(report.answer)}</h2>
          {corrections.length === 0 && <Work steps={steps} voice={printing.voice} />}
          {report.pumpedOut && (
            <p>
              {voice.say('report.pumped-out-on', {
                when: whenWords(report.pumpedOut.at, timeZone, voice),
                seq: String(report.pumpedOut.seq),
              })}
            </p>
          )}
        </div>
        {report.state && corrections.length === 0 && <StateStamp state={report.state} voice={voice} />}
      </section>
      <Seen report={report} printing={printing} hasPhotos={photos.shown.length > 0} />
      {photos.shown.length === 0 && <Note entry={entry} most={NOTE_ALONE} voice={voice} />}
      <Photos photos={photos} total={entry.photos?.length ?? 0} voice={voice} />
      <Basis report={report} printing={printing} />
      <Sign voice={voice} />
      <Care voice={voice} />
      <footer>
        <Verification entry={entry} printing={printing} />
        <Stamp
          words={voice.say('report.visit-stamp', {
            seq,
            day: dayWords(nowMs, timeZone, voice),
            version: mapVersion(printing),
            site: shortened(siteName, 50),
          })}
        />
      </footer>
    </article>
  );
}

function Head({ report: { entry }, printing }: Props) {
  const { siteName, timeZone, voice } = printing;
  const place = entry.body.at;
  const name = place !== undefined ? namesFor(printing)(place) : voice.say('report.the-yard');
  return (
    <header>
      {place !== undefined && <div class="place-id">{shortened(place, 14)}</div>}
      <div class="title">
        <p>{voice.say('report.visit-kicker', { site: shortened(siteName, 60) })}</p>
        <h1>{name}</h1>
        <p>
          {rich(
            voice.parts('report.when-by', {
              when: whenWords(entry.at, timeZone, voice),
              writer: writerWords(entry, (name) => shortened(name, 60), voice),
            }),
          )}
        </p>
      </div>
    </header>
  );
}

function Corrected({ report: { corrections, entry }, voice }: Pick<Props, 'report'> & Spoken) {
  return (
    <section class="corrected">
      <b>{voice.say('report.corrected-by', { ...entryNumbers(corrections), seq: String(entry.seq) })}</b>{' '}
      {corrections
        .slice(0, 2)
        .map(({ seq, body }) =>
          voice.say('report.correction-says', { seq: String(seq), note: shortened(body.note, 220) }),
        )
        .join(' ')}{' '}
      {voice.say('report.first-below')}
    </section>
  );
}

/** The state as a word in a box, and by its weight: outlined, striped, black. */
const StateStamp = ({ state, voice }: { state: FillState } & Spoken) => (
  <div class={`state ${state}`}>
    <span>{`${state === 'fine' ? '✓ ' : ''}${voice.say(`report.state-${state}`)}`}</span>
  </div>
);

function Work({ steps, voice }: { steps: readonly Step[] } & Spoken) {
  if (steps.length === 0) return null;
  const listed = joinedSteps(steps, voice);
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
  const { voice } = printing;
  const lines = withFewChambers(conditionWords(condition, voice), voice);
  const seen = isSeen(entry.body.seen) ? seenCell(entry.body.seen, printing.voice) : null;
  return (
    <section class={lines.length > MANY_LINES ? 'seen many' : 'seen'}>
      <table>
        <thead>
          <tr>
            <th>{voice.say('report.looked-at')}</th>
            <th>{voice.say('report.seen')}</th>
            <th>{voice.say('report.follows')}</th>
          </tr>
        </thead>
        <tbody>
          {seen !== null && (
            <tr>
              <td>{voice.say('report.oil')}</td>
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
              <td>{structure?.kind === 'separator' && corrections.length === 0 ? follows(can, steps, voice) : ''}</td>
            </tr>
          ))}
          {lines.length === 0 && seen === null && (
            <tr>
              <td colspan={3}>{voice.say('report.nothing-looked-at')}</td>
            </tr>
          )}
        </tbody>
      </table>
      <div>
        {filling && (
          <figure>
            <figcaption>{voice.say('report.fill-before')}</figcaption>
            <FillHistory filling={filling} {...CHART_MM} label={voice.say('report.fill-before-label')} voice={voice} />
          </figure>
        )}
        {hasPhotos && <Note entry={entry} most={NOTE_BY_PHOTOS} voice={voice} />}
      </div>
    </section>
  );
}

const CHART_MM = { widthMm: 68, heightMm: 38 };
const BLANK_LINES = Array.from({ length: 9 }, (_, line) => line);

function follows(can: readonly Step[], steps: readonly Step[], voice: Voice): string {
  const due = can.filter((step) => steps.includes(step));
  if (due.length > 0) return due.map((step) => stepWords(step, voice).say).join(' ');
  return can.length > 0 ? voice.say('report.nothing-to-do') : '';
}

/** The first chambers, and the line that sums up all of them. */
function withFewChambers(lines: ConditionLine[], voice: Voice): ConditionLine[] {
  const chambers = lines.filter(({ of }) => of === 'chamber');
  const hidden = new Set(chambers.slice(MOST_CHAMBERS));
  return lines
    .filter((line) => !hidden.has(line))
    .map((line) =>
      hidden.size > 0 && line.of === 'all'
        ? { ...line, label: voice.say('report.oil-in-all', { count: chambers.length }) }
        : line,
    );
}

function Note({ entry, most, voice }: { entry: VisitReport['entry']; most: number } & Spoken) {
  const { note = '' } = entry.body;
  if (note.trim() === '') return null;
  const words = note.replace(/\s+/g, ' ').trim();
  return (
    <p class="note">
      {rich(voice.parts(words.length > most ? 'report.note-cut' : 'report.note', { note: shortened(words, most) }))}
    </p>
  );
}

function Photos({ photos: { shown, leftOut }, total, voice }: { photos: EntryPhotos; total: number } & Spoken) {
  const more = total - shown.length - leftOut.length;
  const words = [
    ...(leftOut.length > 0
      ? [voice.say('report.photos-left-out', { count: leftOut.length, reasons: troubleWords(leftOut, voice) })]
      : []),
    ...(more > 0 ? [voice.say('report.photos-more', { count: more })] : []),
  ];
  return (
    <section class={shown.length > 0 ? 'photos' : 'by-hand'}>
      {shown.length > 0 ? (
        <div class={`grid of-${shown.length}`}>
          {shown.map(({ name, address }, at) => (
            <figure key={name}>
              <img src={address} alt={voice.say('report.photo-alt', { number: String(at + 1) })} />
              <figcaption>{`${at + 1} · ${name.slice(0, 12)}`}</figcaption>
            </figure>
          ))}
        </div>
      ) : (
        <div class="lines">
          <p>{voice.say(total === 0 ? 'report.no-photo' : 'report.by-hand')}</p>
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
  const { entry, limits, misfits } = report;
  const { timeZone, nowMs, voice } = printing;
  const seenMs = instantOf(entry.at, timeZone) ?? nowMs;
  const days = Math.max(0, Math.floor((nowMs - seenMs) / DAY_MS));
  return (
    <div class="basis">
      <p>
        {rich(nextParts(report, voice))} {voice.say('report.seen-before-print', { days })}
      </p>
      {limits && <p>{rich(limitParts(limits, report, voice))}</p>}
      {limits && (
        <p>
          {rich(voice.parts('report.assumed-visit'))}
          {misfits > 0 && ` ${voice.say('report.misfits-visit', { count: misfits })}`}
        </p>
      )}
    </div>
  );
}

/** When the next inspection is due, and what that day rests on. */
function nextParts({ due, state, structure, readings, hasForecast }: VisitReport, voice: Voice): Part[] {
  if (due === null)
    return voice.parts(structure?.kind === 'separator' ? 'report.next-corrected' : 'report.next-no-separator');
  const day = { day: due };
  if (state === 'pump-out') return voice.parts('report.next-at-limit', { day });
  return hasForecast
    ? voice.parts('report.next-forecast', { day, count: readings, chance: { share: LIMIT_CHANCE } })
    : voice.parts('report.next-monthly', { day, count: readings });
}

/** The chance of passing the oil limit before the next inspection stays under this. */
const LIMIT_CHANCE = 0.05;

function limitParts({ oilLimitMm, sludgeLimitMm, packLitres }: FillLimits, { filling }: VisitReport, voice: Voice) {
  const limitLitres = filling?.limitLitres ?? null;
  return voice.parts('report.limits', {
    oil: { millimetres: oilLimitMm },
    hasVolume: limitLitres === null ? 'no' : 'yes',
    volume: { litres: limitLitres ?? 0 },
    sediment: { millimetres: sludgeLimitMm },
    hasSorbent: packLitres === null ? 'no' : 'yes',
    sorbent: { litres: packLitres ?? 0 },
  });
}
