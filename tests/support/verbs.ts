import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { madeEntry, madePhoto } from '../log-book/made.ts';
import { root } from './root.ts';

/** A map and findings that `writeVerbFiles` writes. */
const [DEPOT, FOUND] = ['freight-depot.geojson', 'freight-depot.findings.json'];
export const DEPOT_TEXT = readFileSync(join(root, 'site-maps', DEPOT), 'utf8');

/** Words of a run with what comes in by standard input. */
type VerbRun = [words: string[], input?: string];

/** Writes the files that the runs name into the folder that they run in. */
export function writeVerbFiles(folder: string): void {
  const write = (name: string, content: string | Uint8Array) => writeFileSync(join(folder, name), content);
  write('entry-1.json', JSON.stringify(madeEntry(1)));
  write('entry-2.json', JSON.stringify(madeEntry(2, { kind: 'action', body: { action: 'swept' } })));
  write('lid.jpg', madePhoto(1));
  write(DEPOT, DEPOT_TEXT);
  write(FOUND, readFileSync(join(root, 'site-maps', FOUND), 'utf8'));
  write('broken.geojson', DEPOT_TEXT.replaceAll('"MH-9"', '"MX-9"').replace('"MX-9"', '"MH-9"'));
  const features = [-105, -104.9995, -104.999].map((lon, at) => ({
    type: 'Feature',
    properties: { what: at === 2 ? 'tree' : 'lid', ref: `L${at}` },
    geometry: { type: 'Point', coordinates: [lon, 40] },
  }));
  write('lids.geojson', JSON.stringify({ type: 'FeatureCollection', features }));
}

const book = ['--data', 'yard'];

/** What every verb answers, in an order in which each finds what it needs. */
export const ANSWERS: VerbRun[] = [
  [['check', DEPOT]],
  [['check', '-'], DEPOT_TEXT],
  [['check', 'broken.geojson']],
  [['shed', DEPOT, '--at', 'SEP-1']],
  [['shed', DEPOT, '--graph', 'depot.graphml']],
  [['sources', DEPOT, '--findings', FOUND]],
  [['sources', DEPOT, '--findings', FOUND, '--from', 'SEP-1']],
  [['learn', DEPOT, '--findings', FOUND]],
  [['spill', DEPOT, '--zone', 'Z1', '--litres', '50gal', '--fluid', 'diesel', '--rain', '10']],
  [['spill', DEPOT, '--zone', 'Z1', '--litres', '200', '--fluid', 'gasoline']],
  [['block', DEPOT, '--zone', 'Z4', '--litres', '200']],
  [['block', DEPOT, '--zone', 'Z12', '--litres', '200', '--fluid', 'gear-oil', '--over', '60']],
  [['block', DEPOT, '--findings', FOUND]],
  [['kits', DEPOT, '--count', '2']],
  [['kits', DEPOT, '--within', '3', '--keep']],
  [['measures', DEPOT, '--budget', '5000']],
  [['upkeep', DEPOT, '--findings', FOUND, '--rain', '5']],
  [['cards', DEPOT, '--out', 'cards.html']],
  [['import', 'lids.geojson', '--kind', 'what=lid:catch-basin', '--zones', '--out', 'made.geojson']],
  [['log', 'add', 'entry-1.json', '--photo', 'lid.jpg', ...book]],
  [['log', 'add', 'entry-1.json', '--photo', 'lid.jpg', ...book]],
  [['log', 'add', 'entry-2.json', ...book]],
  [['log', 'list', ...book]],
  [['log', 'verify', ...book]],
  [['log', 'heads', '--out', 'heads.txt', ...book]],
  [['log', 'heads', '--accept', ...book]],
  [['log', 'export', '--out', 'book.zip', ...book]],
  [['log', 'import', 'book.zip', '--data', 'copy']],
  [['log', 'backup', '--out', 'monday', ...book]],
  [['report', DEPOT, '--visit', '1', '--out', 'visit.html', ...book]],
  [['report', DEPOT, '--year', '2026', '--out', 'year.html', ...book]],
  [['people', 'list', ...book]],
  [['people', 'add', 'M. Lund', '--role', 'manager', ...book], 'seven lids deep\n'],
  [['people', 'add', 'J. Ortega', '--role', 'crew', ...book], 'oil floats on top\n'],
  [['people', 'role', 'J. Ortega', '--role', 'viewer', ...book]],
  [['people', 'password', 'M. Lund', ...book], 'four lids under rain\n'],
  [['people', 'token', 'add', 'M. Lund', 'rain gauge', '--role', 'crew', ...book]],
  [['people', 'token', 'list', ...book]],
  [['people', 'token', 'remove', 'M. Lund', 'rain gauge', ...book]],
  [['people', 'list', ...book]],
  [['people', 'remove', 'J. Ortega', ...book]],
  [['log', 'list', '--people', ...book]],
];

/** What every verb refuses, and why. */
export const REFUSALS: VerbRun[] = [
  [[]],
  [['chek']],
  [['check']],
  [['check', DEPOT, DEPOT]],
  [['check', DEPOT, '--loud']],
  [['check', DEPOT, '--jsonn']],
  [['check', 'none.geojson']],
  [['check', '.']],
  [['check', '-'], '{'],
  [['shed', DEPOT]],
  [['shed', 'broken.geojson', '--at', 'SEP-1']],
  [['shed', DEPOT, '--at', 'CB-77']],
  [['shed', DEPOT, '--at', 'Z1']],
  [['shed', DEPOT, '--graph', 'depot.txt']],
  [['sources', DEPOT]],
  [['sources', DEPOT, '--findings', FOUND, '--log']],
  [['sources', DEPOT, '--findings', FOUND, '--from', '400,2']],
  [['sources', DEPOT, '--findings', FOUND, '--history', FOUND]],
  [['sources', DEPOT, '--findings', FOUND, '--at', 'CB-77']],
  [['sources', DEPOT, '--findings', DEPOT]],
  [['sources', '-', '--findings', '-'], DEPOT_TEXT],
  [['learn', DEPOT, '--findings', FOUND, '--seed', 'x']],
  [['spill', DEPOT, '--zone', 'Z1']],
  [['spill', DEPOT, '--zone', 'Z77', '--litres', '5']],
  [['spill', DEPOT, '--zone', 'Z1', '--litres', '5', '--rain', '-3']],
  [['spill', DEPOT, '--point', '1', '--litres', '5']],
  [['block', DEPOT, '--litres', '5']],
  [['block', DEPOT, '--zone', 'Z1', '--litres', '50ft']],
  [['block', DEPOT, '--zone', 'Z1', '--litres', '5', '--fluid', 'milk']],
  [['block', DEPOT, '--zone', 'Z1', '--litres', '5', '--crew', 'CREW-9']],
  [['block', DEPOT, '--findings', FOUND, '--zone', 'Z1']],
  [['kits', DEPOT]],
  [['kits', DEPOT, '--count', '1.5']],
  [['kits', DEPOT, '--count', '500']],
  [['cards', DEPOT]],
  [['cards', DEPOT, '--out']],
  [['cards', DEPOT, '--out', 'cards.txt']],
  [['cards', DEPOT, '--out', 'cards.html', '--link', 'yard']],
  [['cards', DEPOT, '--out', 'none/cards.html']],
  [['measures', DEPOT, '--budget', '-1']],
  [['upkeep', DEPOT, '--log', '--data', 'none']],
  [['report', DEPOT, '--out', 'x.html', ...book]],
  [['report', DEPOT, '--out', 'x.html', '--visit', '99', ...book]],
  [['report', DEPOT, '--out', 'x.html', '--visit', '2', ...book]],
  [['report', DEPOT, '--out', 'x.html', '--visit', 'one', ...book]],
  [['report', DEPOT, '--out', 'x.html', '--year', '26', ...book]],
  [['import', 'lids.geojson', '--out', 'x.geojson', '--kind', 'lid']],
  [['import', 'lids.geojson', '--out', 'x.geojson', '--radius', '5']],
  [['log']],
  [['log', 'add', DEPOT, ...book]],
  [['log', 'add', 'entry-1.json', '--photo', 'entry-1.json', ...book]],
  [['log', 'add', 'entry-1.json', '--map', DEPOT, ...book]],
  [['log', 'list', '--data', 'none']],
  [['log', 'list', '--people', '--site', 'x', ...book]],
  [['log', 'verify', '--head', 'f00', ...book]],
  [['log', 'verify', '--head', 'f'.repeat(64), ...book]],
  [['log', 'verify', '--heads', 'entry-1.json', ...book]],
  [['log', 'export', '--out', 'none/book.zip', ...book]],
  [['log', 'import', 'lid.jpg', ...book]],
  [['people', 'add', 'A. Vale', '--role', 'boss', ...book]],
  [['people', 'add', 'A. Vale', '--role', 'crew', ...book]],
  [['people', 'add', 'A. Vale', '--role', 'crew', ...book], 'short\n'],
  [['people', 'remove', 'Nobody', ...book]],
  [['people', 'token', 'add', 'Nobody', 'rain gauge', '--role', 'crew', ...book]],
  [['serve', '--port', '0']],
  [['serve', '--cert', 'entry-1.json']],
  [['serve', '--cert', 'entry-1.json', '--key', 'entry-1.json']],
  [['serve', '--behind', 'here']],
  [['serve', '--host', '0.0.0.0', '--data', 'none']],
  [['completion', 'tcsh']],
];

/** The verbs, each of which has a help. */
export const VERBS: string[][] = [
  ...['check', 'shed', 'sources', 'learn', 'spill', 'block', 'kits', 'cards', 'measures', 'upkeep', 'report'].map(
    (verb) => [verb],
  ),
  ...['add', 'list', 'verify', 'export', 'import', 'backup', 'heads'].map((verb) => ['log', verb]),
  ...['add', 'role', 'list', 'remove', 'password'].map((verb) => ['people', verb]),
  ...['add', 'list', 'remove'].map((verb) => ['people', 'token', verb]),
  ...['import', 'serve', 'completion'].map((verb) => [verb]),
];
