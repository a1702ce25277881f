import { placeOf, type SealedEntry } from '../../../log-book/index.ts';
import { formatShare, formatVolume } from '../../../units/index.ts';
import { daysApart, entryWords, fullDayOf, kindWord, writerWords } from '../../../words/index.ts';
import { shortened } from '../binder.ts';
import { FillHistory } from './fill-history.tsx';
import { Care, Sign, Stamp, Verification } from './parts.tsx';
import type { EntryPhotos } from './photos.ts';
import { capital, entryNumbers, namesFor, type Printing } from './printing.ts';
import { reportPage } from './report-page.tsx';
import { shortWhen } from './times.ts';
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
  const { year } = record;
  return reportPage({
    title: `Record of ${year}: ${printing.siteName}`,
    paper: printing.paper,
    pageStyle: pageStyle(year, printing),
    body: (
      <main class="record">
        <Cover record={record} printing={printing} />
        <Entries record={record} printing={printing} />
        <ContactSheet photos={photos} />
        <section class="last">
          <Care />
          <Verification printing={printing} />
          <Stamp printing={printing} what={`record of ${year}`} />
        </section>
      </main>
    ),
  });
}

/** The foot of every page. A head is a number and hex digits, so nothing in it can be CSS. */
function pageStyle(year: number, { book: { head } }: Printing): string {
  const font = 'font:7.5pt Arial,"Liberation Sans",sans-serif;vertical-align:top;padding-top:2mm';
  const foot = `Record of ${year} · head when printed: entry ${Number(head.seq)}, ${String(head.hash).replace(/[^0-9a-f]/g, '')}`;
  return [
    'margin:13mm 11mm 15mm 19mm',
    `@bottom-left{content:"${foot}";white-space:nowrap;${font}}`,
    `@bottom-right{content:"page " counter(page) " of " counter(pages);white-space:nowrap;${font}}`,
  ].join(';');
}

function Cover({ record, printing }: Props) {
  const { year, separators } = record;
  return (
    <section class="cover">
      <header>
        <div class="place-id">{String(year)}</div>
        <div class="title">
          <p>Record of the log book</p>
          <h1>{shortened(printing.siteName, 70)}</h1>
          <p>{`Everything that was written down in ${year}, by the clock of ${printing.timeZone}`}</p>
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
      <Sign />
      <Verification printing={printing} />
    </section>
  );
}

const counted = (count: number, one: string, many = `${one}s`) => `${count} ${count === 1 ? one : many}`;

const noneOr = (count: number, one: string) => (count === 0 ? `no ${one}s` : counted(count, one));

/** Visits that were missed at all separators; null where no permit says how often one is due. */
const missedOf = (separators: readonly SeparatorYear[]): number | null =>
  separators.reduce<number | null>((sum, { missed }) => (missed === null ? sum : (sum ?? 0) + missed), null);

/** The year in a sentence. */
function countWords(
  { year, entries, visits, pumpOuts, spills, work, separators }: YearRecord,
  { nowMs, timeZone }: Printing,
): string {
  if (entries.length === 0) return `Nothing was written in the log book in ${year}.`;
  const missed = missedOf(separators);
  const soFar = fullDayOf(nowMs, timeZone).endsWith(String(year)) ? ' so far' : '';
  return [
    capital(
      `${noneOr(visits, 'visit')}, ${noneOr(pumpOuts, 'pump-out')} and ${noneOr(spills.count, 'spill')} in ${year}${soFar}.`,
    ),
    missed === null
      ? ''
      : missed === 0
        ? 'No visit that was due was missed.'
        : `${counted(missed, 'visit that was due was', 'visits that were due were')} missed.`,
    work.open === 0 ? '' : `${counted(work.open, 'piece of work is', 'pieces of work are')} still open.`,
  ]
    .filter((words) => words !== '')
    .join(' ');
}

/** How full a separator was when it was last seen in the year: a fact with its date, and no more than that. */
function lastSeenWords({ id, lastSeen, emptiedAfterMs, filling }: SeparatorYear, printing: Printing): string {
  const { timeZone, nowMs, units } = printing;
  const name = namesFor(printing)(id);
  if (lastSeen === null) return `${name}: nobody measured its oil.`;
  const { ms, litres } = lastSeen;
  const limit = filling?.limitLitres ?? null;
  const against =
    limit === null
      ? 'The map does not say what it takes'
      : litres < limit
        ? `Under its limit of ${formatVolume(limit, units)} when last seen`
        : `At its limit of ${formatVolume(limit, units)} when last seen`;
  const after = emptiedAfterMs === null ? '' : ` It was pumped out on ${fullDayOf(emptiedAfterMs, timeZone)}.`;
  return `${name}: ${formatVolume(litres, units)} of oil. ${against}, on ${fullDayOf(ms, timeZone)}, ${daysApart(ms, nowMs)} before this was printed.${after}`;
}

function Facts({ record, printing }: Props) {
  const { separators, spills, samples, work, takenOut, pumpOuts, entries, corrected, dueEveryDays, visits } = record;
  const { units } = printing;
  const missed = missedOf(separators);
  const atSeparators = separators.reduce((sum, each) => sum + each.visits, 0);
  const rows: [string, string, string][] = [
    ['Visits held', String(visits), `${atSeparators} at separators`],
    ...(missed === null || dueEveryDays === null
      ? []
      : [
          ['Visits due and missed', String(missed), `due every ${counted(dueEveryDays, 'day')}`] satisfies [
            string,
            string,
            string,
          ],
        ]),
    ['Pump-outs', String(pumpOuts), ''],
    ['Taken out in all', takenOut ? formatVolume(takenOut.litres, units) : '–', takenOutWords(takenOut)],
    [
      'Spills',
      String(spills.count),
      spills.count === 0
        ? ''
        : `${formatVolume(spills.litres, units)} in all, ${spills.reachedWater || 'none'} reached water`,
    ],
    ['Samples', String(samples), ''],
    ['Corrective work', String(work.open + work.closed), `${work.open} open, ${work.closed} closed`],
    ['Entries', String(entries.length), `${corrected} corrected by a later one`],
  ];
  return (
    <dl class="facts">
      {rows.map(([label, value, more]) => (
        <div key={label} class="fact">
          <dt>{label}</dt>
          <dd>
            <b>{value}</b>
            {more && ` · ${more}`}
          </dd>
        </div>
      ))}
    </dl>
  );
}

function takenOutWords(takenOut: YearRecord['takenOut']): string {
  if (takenOut === null) return 'nobody wrote down how much';
  return takenOut.unknown > 0 ? `${counted(takenOut.unknown, 'pump-out')} not known` : 'oil, water and sediment';
}

const CHART_MM = { a4: { width: 180, height: 33 }, letter: { width: 185, height: 28 } } as const;

function Separator({ separator, printing }: { separator: SeparatorYear; printing: Printing }) {
  const { id, visits, longestGapDays, missed, pumpOuts, filling } = separator;
  const { units, paper } = printing;
  const name = namesFor(printing)(id);
  const gap = longestGapDays === null ? '' : `, ${counted(longestGapDays, 'day')} the longest time without one`;
  return (
    <section class="separator">
      <h3>
        {name} <small>{id === name ? '' : id}</small>
      </h3>
      <p>
        {`${counted(visits, 'visit')}${gap}${missed ? `, ${missed} missed` : ''}; ${counted(pumpOuts, 'pump-out')}.`}
        {highestWords(filling, printing)}
      </p>
      {filling && (
        <FillHistory
          filling={filling}
          widthMm={CHART_MM[paper].width}
          heightMm={CHART_MM[paper].height}
          units={units}
          label={`Oil in ${name} over the year`}
        />
      )}
    </section>
  );
}

function highestWords(filling: SeparatorYear['filling'], { units, timeZone }: Printing): string {
  if (!filling) return '';
  const highest = filling.readings.reduce((most, each) => (each.litres > most.litres ? each : most));
  const share =
    filling.limitLitres === null ? '' : `, ${formatShare(highest.litres / filling.limitLitres)} of its limit`;
  return ` Most oil: ${formatVolume(highest.litres, units)}${share}, on ${fullDayOf(highest.ms, timeZone)}.`;
}

function Basis({ record, printing }: Props) {
  const { dueEveryDays, misfits } = record;
  return (
    <div class="basis">
      <p>
        <b>Counted:</b> entries that no later one corrects.
        {dueEveryDays !== null &&
          ` A visit is due every ${counted(dueEveryDays, 'day')}, as the map says a permit asks.`}
      </p>
      <p>
        <b>Assumed:</b> oil lies evenly over each chamber; a line in a chart joins readings, between them nobody looked.
        {misfits > 0 && ` ${counted(misfits, 'problem')} with findings that do not fit the map: those were left out.`}
      </p>
      <p>
        <b>Map:</b> SHA-256 <code>{printing.mapHash}</code>
      </p>
    </div>
  );
}

function Entries({ record: { entries, year }, printing }: Props) {
  const { book, timeZone, units } = printing;
  const nameOf = namesFor(printing);
  if (entries.length === 0) return null;
  return (
    <section class="entries">
      <h2>{`${counted(entries.length, 'entry', 'entries')} of ${year}, in order of time`}</h2>
      <table>
        <thead>
          <tr>
            {['No', 'When', 'Kind', 'Where', 'What', 'By', 'Photos'].map((title) => (
              <th key={title}>{title}</th>
            ))}
          </tr>
        </thead>
        <tbody>
          {entries.map((entry) => {
            const corrections = book.corrections.get(entry.id) ?? [];
            const words = entryWords(entry, nameOf, units);
            return (
              <tr key={entry.id} class={corrections.length > 0 ? 'struck' : undefined}>
                <td class="amount">{entry.seq}</td>
                <td class="when">{shortWhen(entry.at, timeZone)}</td>
                <td>{kindWord(entry)}</td>
                <td>{shortened(placeOf(entry) ?? '', 16)}</td>
                <td>
                  {corrections.length === 0 ? (
                    words
                  ) : (
                    <>
                      <s>{words}</s> <b>{`Corrected by ${entryNumbers(corrections)}.`}</b>
                    </>
                  )}
                </td>
                <td>{writerWords(entry, (name) => shortened(name, 40))}</td>
                <td class="amount">{entry.photos?.length || ''}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

function ContactSheet({ photos }: { photos: readonly PhotosOfEntry[] }) {
  const shown = photos.flatMap(({ entry, shown }) => shown.map((photo) => ({ entry, ...photo })));
  const missing = photos.flatMap(({ entry, shown, leftOut }) => {
    const more = (entry.photos?.length ?? 0) - shown.length - leftOut.length;
    const reasons = [...new Set(leftOut)];
    return [
      ...(leftOut.length > 0 ? [`${leftOut.length} of entry ${entry.seq} (${reasons.join('; ')})`] : []),
      ...(more > 0 ? [`${more} more of entry ${entry.seq}`] : []),
    ];
  });
  if (shown.length === 0 && missing.length === 0) return null;
  return (
    <section class="contact-sheet">
      <h2>{counted(shown.length, 'photo')}</h2>
      <div class="pictures">
        {shown.map(({ entry, name, address }) => (
          <figure key={`${entry.seq} ${name}`}>
            <img src={address} alt={`Entry ${entry.seq}`} />
            <figcaption>
              <b>{`Entry ${entry.seq}`}</b> {name.slice(0, 12)}
            </figcaption>
          </figure>
        ))}
      </div>
      {missing.length > 0 && (
        <p>{`Not shown here, but in the log book: ${missing.slice(0, MOST_MISSING).join(', ')}${missing.length > MOST_MISSING ? ` and those of ${missing.length - MOST_MISSING} other entries` : ''}.`}</p>
      )}
    </section>
  );
}

const MOST_MISSING = 40;
