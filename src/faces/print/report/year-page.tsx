import type { Voice } from '../../../catalogue/index.ts';
import { type SealedEntry, subjectOf } from '../../../log-book/index.ts';
import { DAY_MS, dayIn } from '../../../site-map/index.ts';
import { entryWords, kindWord, writerWords } from '../../../words/index.ts';
import { shortened } from '../binder.ts';
import { rich } from '../rich.tsx';
import { FillHistory, type Filling } from './fill-history.tsx';
import { Care, Sign, Stamp, Verification } from './parts.tsx';
import { type EntryPhotos, troubleWords } from './photos.ts';
import { entryNumbers, mapVersion, namesFor, type Printing } from './printing.ts';
import { reportPage } from './report-page.tsx';
import { dayWords, shortWhen } from './times.ts';
import type { SeparatorYear, YearRecord } from './year-record.ts';

/** Photos of one entry that a record shows; the log book has the rest. */
export const MOST_OF_ENTRY = 12;

/** The photos of an entry of the year. */
export interface PhotosOfEntry extends EntryPhotos {
  entry: SealedEntry;
}

interface Props {
  record: YearRecord;
  printing: Printing;
}

/** The record of a year: the answer, every entry, the photos. */
export function yearPage(record: YearRecord, photos: readonly PhotosOfEntry[], printing: Printing): string {
  const { siteName, timeZone, nowMs, voice } = printing;
  const year = String(record.year);
  return reportPage({
    title: voice.say('report.year-title', { year, site: siteName }),
    language: voice.language,
    paper: printing.paper,
    pageStyle: pageStyle(year, printing),
    body: (
      <main class="record">
        <Cover record={record} printing={printing} />
        <Entries record={record} printing={printing} />
        <ContactSheet photos={photos} voice={voice} />
        <section class="last">
          <Care voice={voice} />
          <Verification printing={printing} />
          <Stamp
            words={voice.say('report.year-stamp', {
              year,
              day: dayWords(nowMs, timeZone, voice),
              version: mapVersion(printing),
              site: shortened(siteName, 50),
            })}
          />
        </section>
      </main>
    ),
  });
}

/** The foot of every page. A head is a number and hex digits, so nothing in it can be CSS. */
function pageStyle(year: string, { book: { head }, voice }: Printing): string {
  const font = 'font:7.5pt Arial,"Liberation Sans",sans-serif;vertical-align:top;padding-top:2mm';
  const hash = String(head.hash).replace(/[^0-9a-f]/g, '');
  const foot = voice.say('report.year-foot', { year, seq: String(Number(head.seq)), hash });
  // The counters stand between the strings of CSS that the message comes apart into.
  const page = voice.say('report.page-of', { page: '" counter(page) "', pages: '" counter(pages) "' });
  return [
    'margin:13mm 11mm 15mm 19mm',
    `@bottom-left{content:"${foot}";white-space:nowrap;${font}}`,
    `@bottom-right{content:"${page}";white-space:nowrap;${font}}`,
  ].join(';');
}

function Cover({ record, printing }: Props) {
  const { separators } = record;
  const { siteName, timeZone, voice } = printing;
  const year = String(record.year);
  return (
    <section class="cover">
      <header>
        <div class="place-id">{year}</div>
        <div class="title">
          <p>{voice.say('report.year-kicker')}</p>
          <h1>{shortened(siteName, 70)}</h1>
          <p>{voice.say('report.year-what', { year, zone: timeZone })}</p>
        </div>
      </header>
      <section class="answer">
        <div>
          <h2>{countWords(record, printing)}</h2>
          <ul>
            {separators.map((each) => (
              <li key={each.id}>{lastSeenWords(each, printing)}</li>
            ))}
          </ul>
        </div>
      </section>
      <Facts record={record} printing={printing} />
      {separators.map((each) => (
        <Separator key={each.id} separator={each} printing={printing} />
      ))}
      <Basis record={record} printing={printing} />
      <Sign voice={voice} />
      <Verification printing={printing} />
    </section>
  );
}

/** Visits that were missed at all separators; null where no permit says how often one is due. */
const missedOf = (separators: readonly SeparatorYear[]): number | null =>
  separators.reduce<number | null>((sum, { missed }) => (missed === null ? sum : (sum ?? 0) + missed), null);

/** The year in a sentence or two. */
function countWords(
  { year, entries, visits, pumpOuts, spills, work, separators }: YearRecord,
  { nowMs, timeZone, voice }: Printing,
): string {
  if (entries.length === 0) return voice.say('report.nothing-written', { year: String(year) });
  const missed = missedOf(separators);
  const isSoFar = dayIn(nowMs, timeZone).startsWith(String(year));
  return [
    voice.say(isSoFar ? 'report.year-counts-so-far' : 'report.year-counts', {
      visits,
      pumpOuts,
      spills: spills.count,
      year: String(year),
    }),
    ...(missed === null ? [] : [voice.say('report.year-missed', { count: missed })]),
    ...(work.open === 0 ? [] : [voice.say('report.year-open', { count: work.open })]),
  ].join(' ');
}

/** How full a separator was when it was last seen in the year: a fact with its date, and no more than that. */
function lastSeenWords({ id, lastSeen, emptiedAfterMs, filling }: SeparatorYear, printing: Printing): string {
  const { timeZone, nowMs, voice } = printing;
  const name = namesFor(printing)(id);
  if (lastSeen === null) return voice.say('report.nobody-measured', { name });
  const { ms, litres } = lastSeen;
  const most = filling?.limitLitres ?? null;
  const seen = voice.say('report.last-seen', {
    name,
    volume: { litres },
    limit: most === null ? 'unknown' : litres < most ? 'under' : 'reached',
    most: { litres: most ?? 0 },
    day: dayWords(ms, timeZone, voice),
    days: Math.max(0, Math.floor((nowMs - ms) / DAY_MS)),
  });
  if (emptiedAfterMs === null) return seen;
  return `${seen} ${voice.say('report.emptied-after', { day: dayWords(emptiedAfterMs, timeZone, voice) })}`;
}

/** A number of the year by its name, and what is to be said beside it. */
interface Fact {
  label: string;
  value: string;
  more?: string;
}

function factsOf(record: YearRecord, voice: Voice): Fact[] {
  const { separators, spills, samples, work, takenOut, pumpOuts, entries, corrected, dueEveryDays, visits } = record;
  const missed = missedOf(separators);
  const atSeparators = separators.reduce((sum, each) => sum + each.visits, 0);
  return [
    {
      label: voice.say('report.fact-visits'),
      value: voice.number(visits),
      more: voice.say('report.fact-at-separators', { count: atSeparators }),
    },
    ...(missed === null || dueEveryDays === null
      ? []
      : [
          {
            label: voice.say('report.fact-missed'),
            value: voice.number(missed),
            more: voice.say('report.fact-due-every', { days: dueEveryDays }),
          },
        ]),
    { label: voice.say('report.fact-pump-outs'), value: voice.number(pumpOuts) },
    {
      label: voice.say('report.fact-taken-out'),
      value: takenOut ? voice.text({ litres: takenOut.litres }) : '–',
      more: takenOutWords(takenOut, voice),
    },
    {
      label: voice.say('report.fact-spills'),
      value: voice.number(spills.count),
      ...(spills.count > 0 && {
        more: voice.say('report.spills-reached', { volume: { litres: spills.litres }, count: spills.reachedWater }),
      }),
    },
    { label: voice.say('report.fact-samples'), value: voice.number(samples) },
    {
      label: voice.say('report.fact-work'),
      value: voice.number(work.open + work.closed),
      more: voice.say('report.work-open-closed', work),
    },
    {
      label: voice.say('report.fact-entries'),
      value: voice.number(entries.length),
      more: voice.say('report.entries-corrected', { count: corrected }),
    },
  ];
}

function Facts({ record, printing }: Props) {
  return (
    <dl class="facts">
      {factsOf(record, printing.voice).map(({ label, value, more }) => (
        <div key={label} class="fact">
          <dt>{label}</dt>
          <dd>
            <b>{value}</b>
            {more !== undefined && ` · ${more}`}
          </dd>
        </div>
      ))}
    </dl>
  );
}

function takenOutWords(takenOut: YearRecord['takenOut'], voice: Voice): string {
  if (takenOut === null) return voice.say('report.taken-unwritten');
  return takenOut.unknown > 0
    ? voice.say('report.taken-unknown', { count: takenOut.unknown })
    : voice.say('report.taken-what');
}

const CHART_MM = { a4: { width: 180, height: 33 }, letter: { width: 185, height: 28 } } as const;

function Separator({ separator, printing }: { separator: SeparatorYear; printing: Printing }) {
  const { id, filling } = separator;
  const { paper, voice } = printing;
  const name = namesFor(printing)(id);
  return (
    <section class="separator">
      <h3>
        {name} <small>{id === name ? '' : id}</small>
      </h3>
      <p>
        {heldWords(separator, voice)} {filling && highestWords(filling, printing)}
      </p>
      {filling && (
        <FillHistory
          filling={filling}
          widthMm={CHART_MM[paper].width}
          heightMm={CHART_MM[paper].height}
          label={voice.say('report.fill-year-label', { name })}
          voice={voice}
        />
      )}
    </section>
  );
}

function heldWords({ visits, longestGapDays, missed, pumpOuts }: SeparatorYear, voice: Voice): string {
  if (longestGapDays === null) return voice.say('report.separator-visits', { visits, pumpOuts });
  const held = { visits, gap: longestGapDays, pumpOuts };
  return missed
    ? voice.say('report.separator-gap-missed', { ...held, missed })
    : voice.say('report.separator-gap', held);
}

function highestWords({ readings, limitLitres }: Filling, { timeZone, voice }: Printing): string {
  const highest = readings.reduce((most, each) => (each.litres > most.litres ? each : most));
  const most = { volume: { litres: highest.litres }, day: dayWords(highest.ms, timeZone, voice) };
  return limitLitres === null
    ? voice.say('report.most-oil', most)
    : voice.say('report.most-oil-share', { ...most, share: { share: highest.litres / limitLitres } });
}

function Basis({ record: { dueEveryDays, misfits }, printing: { voice, mapHash } }: Props) {
  return (
    <div class="basis">
      <p>
        {rich(
          dueEveryDays === null
            ? voice.parts('report.counted')
            : voice.parts('report.counted-due', { days: dueEveryDays }),
        )}
      </p>
      <p>
        {rich(voice.parts('report.assumed-year'))}
        {misfits > 0 && ` ${voice.say('report.misfits-year', { count: misfits })}`}
      </p>
      <p>{rich(voice.parts('report.map-hash', { hash: mapHash }))}</p>
    </div>
  );
}

const COLUMNS = ['seq', 'when', 'kind', 'where', 'what', 'by', 'photos'] as const;

function Entries({ record: { entries, year }, printing }: Props) {
  const { book, timeZone, voice } = printing;
  const nameOf = namesFor(printing);
  if (entries.length === 0) return null;
  return (
    <section class="entries">
      <h2>{voice.say('report.entries-of', { count: entries.length, year: String(year) })}</h2>
      <table>
        <thead>
          <tr>
            {COLUMNS.map((column) => (
              <th key={column}>{voice.say(`report.column-${column}`)}</th>
            ))}
          </tr>
        </thead>
        <tbody>
          {entries.map((entry) => {
            const corrections = book.corrections.get(entry.id) ?? [];
            const words = entryWords(entry, nameOf, voice);
            return (
              <tr key={entry.id} class={corrections.length > 0 ? 'struck' : undefined}>
                <td class="amount">{entry.seq}</td>
                <td class="when">{shortWhen(entry.at, timeZone, voice)}</td>
                <td>{kindWord(entry, voice)}</td>
                <td>{shortened(subjectOf(entry) ?? '', 16)}</td>
                <td>
                  {corrections.length === 0
                    ? words
                    : rich(voice.parts('report.struck', { words, ...entryNumbers(corrections) }))}
                </td>
                <td>{writerWords(entry, (name) => shortened(name, 40), voice)}</td>
                <td class="amount">{entry.photos?.length || ''}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

function ContactSheet({ photos, voice }: { photos: readonly PhotosOfEntry[]; voice: Voice }) {
  const shown = photos.flatMap(({ entry, shown }) => shown.map((photo) => ({ entry, ...photo })));
  const missing = photos.flatMap(({ entry, shown, leftOut }) => {
    const more = (entry.photos?.length ?? 0) - shown.length - leftOut.length;
    const seq = String(entry.seq);
    return [
      ...(leftOut.length > 0
        ? [
            voice.say('report.photos-of-entry', {
              count: leftOut.length,
              seq,
              reasons: troubleWords(leftOut, voice),
            }),
          ]
        : []),
      ...(more > 0 ? [voice.say('report.photos-of-entry-more', { count: more, seq })] : []),
    ];
  });
  if (shown.length === 0 && missing.length === 0) return null;
  return (
    <section class="contact-sheet">
      <h2>{voice.say('report.photo-count', { count: shown.length })}</h2>
      <div class="pictures">
        {shown.map(({ entry, name, address }) => {
          const title = voice.say('report.entry-title', { seq: String(entry.seq) });
          return (
            <figure key={`${entry.seq} ${name}`}>
              <img src={address} alt={title} />
              <figcaption>
                <b>{title}</b> {name.slice(0, 12)}
              </figcaption>
            </figure>
          );
        })}
      </div>
      {missing.length > 0 && <p>{missingWords(missing, voice)}</p>}
    </section>
  );
}

const MOST_MISSING = 40;

function missingWords(missing: readonly string[], voice: Voice): string {
  const photos = missing.slice(0, MOST_MISSING).join(', ');
  const count = missing.length - MOST_MISSING;
  return count > 0
    ? voice.say('report.photos-elsewhere-more', { photos, count })
    : voice.say('report.photos-elsewhere', { photos });
}
