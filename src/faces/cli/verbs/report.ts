import { createHash } from 'node:crypto';
import { compileDrainage } from '../../../drainage/index.ts';
import { type EntryId, isEntryId, type SealedOf } from '../../../log-book/index.ts';
import type { Problem } from '../../../site-map/index.ts';
import type { LogStore } from '../../../store/index.ts';
import { kindWord } from '../../../words/index.ts';
import type { Paper, Printing } from '../../print/index.ts';
import {
  MOST_OF_ENTRY,
  MOST_PHOTOS,
  type PhotoReader,
  photoReader,
  readBook,
  visitPage,
  visitReport,
  yearPage,
  yearRecord,
} from '../../print/index.ts';
import { sayOtherSite } from '../findings.ts';
import {
  InputError,
  numberWord,
  output,
  readMapText,
  readText,
  siteName,
  throwErrors,
  UsageError,
  unitsOf,
  writeOut,
} from '../input.ts';
import { logPlace, siteHead, withLogStore } from '../log-place.ts';
import { chromiumFor, outIsPdf, paperWord, pdfOf } from '../paper.ts';
import { fileLine, heading, safe, sayProblems } from '../print.ts';
import { say, voice } from '../voice.ts';

interface ReportFlags {
  out: string;
  visit?: string;
  year?: string;
  site?: string;
  data?: string;
  paper?: string;
  json?: boolean;
}

/** Which visit: an id, the number of an entry, or the last one. */
type VisitWord = { id: EntryId } | { seq: number } | 'last';
type Asked = { visit: VisitWord; site?: string } | { year: number; site?: string };

/** What was made: the page, what `--json` prints of it, and what a person reads. */
interface Made {
  page: string;
  object: object;
  words: (made: { file: string; paper: Paper }) => string;
  problems: Problem[];
}

/** `oilshed report MAP --out FILE --visit ID|--year YEAR`: one visit on a page, or a year's record. */
export async function report(file: string, flags: ReportFlags): Promise<number> {
  const asked = askedFor(flags);
  const isPdf = outIsPdf(flags.out);
  const paperAsked = flags.paper === undefined ? null : paperWord(flags.paper);
  const chromium = isPdf ? chromiumFor('report') : null;
  const text = readText(file);
  const { map, problems } = await readMapText(text);
  throwErrors(file, problems);
  const units = unitsOf(map);
  const paper = paperAsked ?? (units === 'us' ? 'letter' : 'a4');
  const { folder } = logPlace(flags.data);
  const made = await withLogStore({ data: flags.data, purpose: 'read' }, async (store): Promise<Made> => {
    const book = await readBook(store, await headFor(store, asked, folder));
    sayOtherSite(book, map);
    const printing: Printing = {
      drainage: compileDrainage(map),
      book,
      voice: voice(),
      siteName: siteName(map, file),
      timeZone: map.site.timeZone ?? 'UTC',
      nowMs: Date.now(),
      mapHash: createHash('sha256').update(text).digest('hex'),
      paper,
    };
    const photos = photoReader((name) => store.photos.read(name));
    const made =
      'year' in asked
        ? madeYear(asked.year, printing, photos)
        : madeVisit(visitOf(asked.visit, printing, { file, folder }), printing, photos);
    return { ...made, problems: [...book.problems, ...photos.problems] };
  });
  writeOut(flags.out, chromium === null ? made.page : pdfOf('report', chromium, made.page));
  sayProblems(folder, made.problems);
  output(flags.json, { ...made.object, paper, problems: made.problems }, () =>
    heading(made.words({ file: flags.out, paper })),
  );
  return made.problems.length > 0 ? 1 : 0;
}

function madeVisit(entry: SealedOf<'visit'>, printing: Printing, reader: PhotoReader): Omit<Made, 'problems'> {
  const report = visitReport(entry, printing);
  const { id, seq, hash, at, body, photos: names = [] } = entry;
  const photos = reader.read(id, names, MOST_PHOTOS);
  const { state, due, answer, corrections } = report;
  return {
    page: visitPage(report, photos, printing),
    object: {
      report: 'visit',
      site: entry.site,
      entries: 1,
      photos: photos.shown.length,
      head: headOf(printing),
      visit: { id, seq, hash, at, structure: body.at ?? null, state, due, answer },
      correctedBy: corrections.map((each) => each.seq),
    },
    words: (made) =>
      say('cli.report-visit', { ...made, seq: String(seq), shown: photos.shown.length, photos: names.length }),
  };
}

function madeYear(year: number, printing: Printing, reader: PhotoReader): Omit<Made, 'problems'> {
  const record = yearRecord(year, printing);
  const photos = record.entries
    .filter(({ photos: names = [] }) => names.length > 0)
    .map((entry) => ({ entry, ...reader.read(entry.id, entry.photos ?? [], MOST_OF_ENTRY) }));
  const shown = photos.reduce((sum, each) => sum + each.shown.length, 0);
  const { entries, separators, ...counts } = record;
  return {
    page: yearPage(record, photos, printing),
    object: {
      report: 'year',
      site: printing.book.site,
      ...counts,
      entries: entries.length,
      photos: shown,
      head: headOf(printing),
      separators: separators.map(({ filling, lastSeen, emptiedAfterMs: _, ...separator }) => ({
        ...separator,
        lastSeenAt: lastSeen && new Date(lastSeen.ms).toISOString(),
        oilLitres: lastSeen?.litres ?? null,
        limitLitres: filling?.limitLitres ?? null,
      })),
    },
    words: (made) => say('cli.report-year', { ...made, year: String(year), entries: entries.length, photos: shown }),
  };
}

const headOf = ({ book: { head } }: Printing) => ({ seq: head.seq, hash: head.hash });

function askedFor({ visit, year, site }: ReportFlags): Asked {
  if (visit !== undefined && year !== undefined) throw new UsageError(say('cli-errors.visit-and-year'));
  if (year !== undefined) {
    if (!/^\d{4}$/.test(year)) throw new UsageError(say('cli-errors.year', { word: JSON.stringify(year) }));
    return { year: numberWord('--year', year, { atLeast: 1000 }), site };
  }
  if (visit === undefined) throw new UsageError(say('cli-errors.visit-or-year'));
  return visitWord(visit, site);
}

/** An entry's id; its number, alone or behind its site, "tarn-lane:12"; or "last". */
function visitWord(word: string, site: string | undefined): Asked {
  if (isEntryId(word)) return { visit: { id: word }, site };
  const [, siteOfWord, what] = /^(?:(.+):)?(last|\d{1,9})$/.exec(word) ?? [];
  if (what === undefined) {
    throw new UsageError(say('cli-errors.visit', { word: JSON.stringify(word) }));
  }
  if (siteOfWord !== undefined && site !== undefined && siteOfWord !== site) {
    throw new UsageError(say('cli-errors.visit-two-sites', { site: safe(siteOfWord) }));
  }
  return { visit: what === 'last' ? 'last' : { seq: Number(what) }, site: siteOfWord ?? site };
}

/** The end of the chain of the site that is asked about: the one named, that of the entry, or the only one. */
async function headFor(store: LogStore, asked: Asked, folder: string) {
  const heads = await store.heads();
  const named =
    asked.site ??
    ('visit' in asked && typeof asked.visit === 'object' && 'id' in asked.visit
      ? (await store.entry(asked.visit.id))?.site
      : undefined);
  return siteHead(heads, named, folder);
}

/** The visit that is asked for, or an InputError that says why there is none on this map. */
function visitOf(
  word: VisitWord,
  { book, drainage }: Printing,
  { file, folder }: { file: string; folder: string },
): SealedOf<'visit'> {
  const entry =
    word === 'last'
      ? book.entries.findLast(({ id, kind }) => kind === 'visit' && !book.corrections.has(id))
      : book.entries.find((each) => ('id' in word ? each.id === word.id : each.seq === word.seq));
  const refuse = (place: string, words: string) => new InputError([fileLine(place, words)]);
  const { site } = book;
  if (!entry) {
    const words =
      word === 'last'
        ? say('cli-errors.no-visit', { site })
        : say('cli-errors.no-entry', { entry: 'id' in word ? word.id : String(word.seq), site });
    throw refuse(folder, words);
  }
  const seq = String(entry.seq);
  if (entry.kind !== 'visit') {
    const kind = kindWord(entry, voice());
    throw refuse(folder, say('cli-errors.not-a-visit', { seq, site, kind }));
  }
  const { at } = entry.body;
  if (at !== undefined && !drainage.map.structures.some(({ id }) => id === at))
    throw refuse(file, say('cli-errors.visit-off-map', { at, seq }));
  return entry;
}
