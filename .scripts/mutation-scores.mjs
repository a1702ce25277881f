// Writes into docs/tests.md what `npm run mutate` measured: for each file of a room how many changes its tests found.
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { root } from './built.mjs';

const KEPT = join(root, '.mutants');
const PAGE = join(root, 'docs', 'tests.md');
const [BEGIN, END] = ['<!-- scores: written by npm run mutate -->', '<!-- end of the scores -->'];
const TITLES = ['file', 'mutants', 'killed', 'timeout', 'survived', 'no coverage', 'left out', 'score'];

function countsOf(mutants) {
  const [killed, timeout, survived, uncovered, leftOut] = [
    'Killed',
    'Timeout',
    'Survived',
    'NoCoverage',
    'Ignored',
  ].map((status) => mutants.filter((mutant) => mutant.status === status).length);
  const all = killed + timeout + survived + uncovered;
  return [
    all,
    killed,
    timeout,
    survived,
    uncovered,
    leftOut,
    all > 0 ? `${((100 * (killed + timeout)) / all).toFixed(1)} %` : '–',
  ];
}

const row = (cells) => `| ${cells.join(' | ')} |`;

/** A file that changed after it was measured is told of by its name; its numbers are those from before. */
const isAsMeasured = (file, source) =>
  existsSync(join(root, file)) && readFileSync(join(root, file), 'utf8') === source;

function roomRows(room) {
  const kept = join(KEPT, `${room}.json`);
  const { files } = JSON.parse(readFileSync(kept, 'utf8'));
  const measured = Object.entries(files).filter(([, { mutants }]) => mutants.length > 0);
  const short = (file) => file.replace(`src/${room}/`, '');
  const missing = readdirSync(join(root, 'src', room))
    .filter((name) => name !== 'index.ts' && !measured.some(([file]) => short(file) === name))
    .map((name) => `${name} (${readFileSync(join(root, 'src', room, name), 'utf8').split('\n').length - 1} lines)`);
  const day = statSync(kept).mtime.toISOString().slice(0, 10);
  return [
    row([`**${room}**, ${day}`, ...countsOf(measured.flatMap(([, { mutants }]) => mutants))]),
    ...measured
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([file, { mutants, source }]) =>
        row([`${short(file)}${isAsMeasured(file, source) ? '' : ' (changed since)'}`, ...countsOf(mutants)]),
      ),
    ...(missing.length > 0 ? [row([`not measured: ${missing.join(', ')}`, ...TITLES.slice(1).map(() => '')])] : []),
  ];
}

/** Puts the table of all that is kept between the two marks of the page. */
export function writeScores() {
  const page = readFileSync(PAGE, 'utf8');
  const [from, to] = [page.indexOf(BEGIN), page.indexOf(END)];
  if (from < 0 || to < from) throw new Error(`docs/tests.md has lost the lines "${BEGIN}" and "${END}".`);
  const rooms = readdirSync(KEPT)
    .filter((name) => name.endsWith('.json'))
    .map((name) => name.replace('.json', ''));
  const head = [row(TITLES), row(TITLES.map((_, at) => (at === 0 ? '---' : '--:')))];
  const table = [...head, ...rooms.flatMap(roomRows)];
  writeFileSync(PAGE, [page.slice(0, from) + BEGIN, '', ...table, '', page.slice(to)].join('\n'));
}
