// Writes into docs/tests.md what `npm run mutate` measured: for each file of a room how many changes its tests found.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { root } from './built.mjs';

const KEPT = join(root, '.mutants');
const PAGE = join(root, 'docs', 'tests.md');
const [BEGIN, END] = ['<!-- scores: written by npm run mutate -->', '<!-- end of the scores -->'];

const COUNTED = ['Killed', 'Timeout', 'Survived', 'NoCoverage'];

function countsOf(mutants) {
  const of = (status) => mutants.filter((mutant) => mutant.status === status).length;
  const [killed, timeout, survived, uncovered] = COUNTED.map(of);
  const all = killed + timeout + survived + uncovered;
  return { all, killed, timeout, survived, uncovered, score: (100 * (killed + timeout)) / all };
}

const row = (name, { all, killed, timeout, survived, uncovered, score }) =>
  `| ${name} | ${all} | ${killed} | ${timeout} | ${survived} | ${uncovered} | ${score.toFixed(1)} % |`;

function roomTable(name) {
  const { files } = JSON.parse(readFileSync(join(KEPT, name), 'utf8'));
  const measured = Object.entries(files)
    .map(([file, { mutants }]) => [file, mutants])
    .filter(([, mutants]) => countsOf(mutants).all > 0)
    .sort(([a], [b]) => (a < b ? -1 : 1));
  const room = name.replace('.json', '');
  return [
    row(`**${room}**`, countsOf(measured.flatMap(([, mutants]) => mutants))),
    ...measured.map(([file, mutants]) => row(file.replace(`src/${room}/`, ''), countsOf(mutants))),
  ];
}

/** Puts the table of all that is kept between the two marks of the page. */
export function writeScores() {
  const page = readFileSync(PAGE, 'utf8');
  const [from, to] = [page.indexOf(BEGIN), page.indexOf(END)];
  if (from < 0 || to < from) throw new Error(`docs/tests.md has lost the lines "${BEGIN}" and "${END}".`);
  const rows = readdirSync(KEPT)
    .filter((name) => name.endsWith('.json'))
    .flatMap(roomTable);
  const head = [
    '| file | mutants | killed | timeout | survived | no coverage | score |',
    '| --- | --: | --: | --: | --: | --: | --: |',
  ];
  writeFileSync(PAGE, [page.slice(0, from) + BEGIN, '', ...head, ...rows, '', page.slice(to)].join('\n'));
}
