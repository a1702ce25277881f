import { readdirSync, readFileSync } from 'node:fs';
import { join, posix } from 'node:path';
import ts from 'typescript';
import { describe, expect, test } from 'vitest';

const filesUnder = (folder: string, ending: RegExp) =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .map((name) => join(folder, name))
    .filter((name) => ending.test(name));
const SHEETS = filesUnder('src', /\.css$/);
const CODE = filesUnder('src', /\.tsx?$/);

/** The room of a file as far as style goes: one of the web app, a kind of paper, or the room itself. */
const roomOf = (file: string) =>
  /^src\/faces\/(?:web|print)\/([^/]+)\//.exec(file)?.[1] ??
  (file.startsWith('src/faces/web/') ? 'app' : null) ??
  /^src\/(?:faces\/)?([^/]+)/.exec(file)?.[1] ??
  '';

const SCREENS = ['where-from', 'spill', 'kits', 'how-full', 'log'];
const WEB = ['parts', 'map', ...SCREENS, 'app'];
/** Whether a sheet of `room` may style what `user` draws: a room below it, of which pure rooms give words that become classes, or any that shares a part. */
const isBelow = (user: string, room: string) =>
  room === 'app' ||
  room === 'parts' ||
  !WEB.includes(user) ||
  (SCREENS.includes(room) && ['parts', 'map'].includes(user));

/** Brings a library's sheet and has no rule of its own. */
const LIBRARY = 'src/faces/web/how-full/draw-fill.css';
const LAYERS: Record<string, string> = {
  'src/drawing/look.css': 'look',
  'src/faces/web/app/page.css': 'page',
  'src/faces/web/app/states.css': 'states',
  'src/faces/web/app/print.css': 'paper',
  'src/faces/print/cards/cards.css': 'paper',
  'src/faces/print/report/report.css': 'paper',
};
/** The layer in which the rules of a sheet stand: that of its room, or its own. */
const layerOf = (sheet: string) => LAYERS[sheet] ?? (SCREENS.includes(roomOf(sheet)) ? 'screens' : roomOf(sheet));

interface Rule {
  selector: string;
  /** What it stands in, outermost first: layers, conditions. */
  within: readonly string[];
}

/** The rules of a sheet, and its statements that end with a semicolon outside of every rule. */
function parse(text: string): { rules: Rule[]; statements: string[] } {
  const rules: Rule[] = [];
  const statements: string[] = [];
  const within: string[] = [];
  for (const [, prelude, end] of text.replace(/\/\*[\s\S]*?\*\//g, '').matchAll(/([^{};]*)([{};])/g)) {
    const words = prelude.trim().replace(/\s+/g, ' ');
    if (end === '{') {
      const isFrame = within.some((each) => each.startsWith('@keyframes'));
      if (!isFrame && (!words.startsWith('@') || words === '@page'))
        rules.push({ selector: words, within: [...within] });
      within.push(words);
    } else if (end === '}') within.pop();
    else if (within.length === 0) statements.push(words);
  }
  return { rules, statements };
}

const classesIn = (selector: string) => [...selector.matchAll(/\.([a-z][\w-]*)/gi)].map(([, name]) => name);

/** Words of a room's strings that may be classes: whole ones, and what a template begins a word with. */
interface Words {
  whole: Set<string>;
  starts: Set<string>;
}

/** A string of classes is one of small words only; sentences have capitals and stops. */
const CLASS = /^-?[a-z][\w-]*$/;

function readWords(file: string, { whole, starts }: Words): void {
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node)) return;
    if (ts.isStringLiteralLike(node) || ts.isTemplateHead(node) || ts.isTemplateMiddleOrTemplateTail(node)) {
      const words = node.text.split(/\s+/).filter((word) => word !== '');
      const isOpen = (ts.isTemplateHead(node) || ts.isTemplateMiddle(node)) && /[\w-]{4}$/.test(node.text);
      if (isOpen && CLASS.test(words[words.length - 1])) starts.add(words.pop() ?? '');
      if (words.every((word) => CLASS.test(word))) for (const word of words) whole.add(word);
    }
    ts.forEachChild(node, visit);
  };
  visit(ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.Latest));
}

const rooms = new Map<string, Words>();
for (const file of CODE) {
  const room = roomOf(file);
  const words = rooms.get(room) ?? { whole: new Set(), starts: new Set() };
  rooms.set(room, words);
  readWords(file, words);
}

/** The rooms that give an element this class. */
const usersOf = (name: string) =>
  [...rooms]
    .filter(([, { whole, starts }]) => whole.has(name) || [...starts].some((start) => name.startsWith(start)))
    .map(([room]) => room);

/** What is wrong with where a rule stands: null when it stands beside what it is for. */
function wrongRule(sheet: string, { selector, within }: Rule): string | null {
  const [room, layer] = [roomOf(sheet), layerOf(sheet)];
  if (within[0] !== `@layer ${layer}`) return `${sheet}: ${selector} does not stand in the layer ${layer}`;
  const users = classesIn(selector).map((name) => ({ name, rooms: usersOf(name) }));
  const stray = users.find((each) => !each.rooms.some((user) => user === room || isBelow(user, room)));
  if (stray)
    return `${sheet}: ${selector}: nothing in ${room} or below it has the class ${stray.name}; delete or move the rule`;
  const all = new Set(users.flatMap((each) => each.rooms));
  if (users.length === 0 || room === 'app' || sheet.endsWith('look.css') || all.has(room)) return null;
  if (room !== 'parts') return `${sheet}: ${selector} has no class of ${room}; move it to where its classes are`;
  const above = WEB.filter((each) => all.has(each));
  return above.length > 1 ? null : `${sheet}: ${selector} is for ${above} alone; move it there`;
}

/** What is wrong with the import of a sheet: null when its own room imports it, or one that stands over all that share it. */
function wrongImport({ from, to }: { from: string; to: string }): string | null {
  const [room, other] = [roomOf(from), roomOf(to)];
  const sharers = other === 'parts' ? ['app'] : other === 'drawing' ? ['app', 'cards', 'report'] : [];
  return room === other || sharers.includes(room) ? null : `${from} imports ${to}; only ${[other, ...sharers]} may`;
}

const sheets = SHEETS.map((file) => ({ file, ...parse(readFileSync(file, 'utf8')) }));
const imports = CODE.flatMap((from) =>
  [...readFileSync(from, 'utf8').matchAll(/^import (?:\w+ from )?'([^']+\.css)(?:\?inline)?';$/gm)].map(([, path]) => ({
    from,
    to: path.startsWith('.') ? posix.join(posix.dirname(from), path) : path,
  })),
);

describe('the style sheets', () => {
  test('every rule stands in its layer, beside the elements that have its classes', () => {
    expect(sheets.flatMap(({ rules }) => rules).length).toBeGreaterThan(500);
    expect(sheets.flatMap(({ file, rules }) => rules.map((rule) => wrongRule(file, rule)).filter(Boolean))).toEqual([]);
  });

  test('the order of the layers is told once, before every other sheet', () => {
    const [first] = imports.filter(({ from }) => from === 'src/faces/web/main.tsx');
    const [order] = sheets.find(({ file }) => file === first.to)?.statements ?? [];
    const layers = ['library', ...SHEETS.filter((file) => file !== first.to && file !== LIBRARY).map(layerOf)];
    expect(new Set(order.replace('@layer ', '').split(', '))).toEqual(new Set(layers));
    const ordered = sheets.filter(({ statements }) => statements.some((each) => each.startsWith('@layer')));
    expect(ordered.map(({ file }) => file)).toEqual([first.to]);
    expect(readFileSync('src/faces/web/main.tsx', 'utf8').indexOf('import ')).toBe(
      readFileSync('src/faces/web/main.tsx', 'utf8').indexOf("import './app/layers.css'"),
    );
  });

  test("a library's sheet stands in the layer for these", () => {
    const statements = sheets.flatMap(({ statements }) => statements).filter((each) => each.startsWith('@import'));
    expect(statements.length).toBeGreaterThan(0);
    expect(statements.filter((each) => !/^@import "[a-z][^"]*" layer\(library\)$/.test(each))).toEqual([]);
  });

  test('a sheet is imported by its own room, shared ones by who stands over all that share them, and none is forgotten', () => {
    expect(imports.map(wrongImport).filter(Boolean)).toEqual([]);
    expect(new Set(imports.map(({ to }) => to))).toEqual(new Set(SHEETS));
  });

  test('the rules themselves catch what they are for', () => {
    const rule = (selector: string, layer: string, sheet: string) =>
      wrongRule(`src/faces/web/${sheet}`, { selector, within: [`@layer ${layer}`] });
    expect(rule('.finding-row', 'screens', 'where-from/where-from.css')).toBeNull();
    expect(rule('.finding-row', 'screens', 'spill/spill.css')).toContain('nothing in spill');
    expect(rule('.choices', 'screens', 'kits/kits.css')).toContain('no class of kits');
    expect(rule('.finding-row', 'parts', 'parts/rows.css')).toContain('where-from alone');
    expect(rule('.finding-row', 'parts', 'where-from/where-from.css')).toContain('layer screens');
    expect(rule('.finding-rows', 'screens', 'where-from/where-from.css')).toContain('the class finding-rows');
    expect(parse('a { b: c } @media print { .d::before { content: ";" } }').rules).toEqual([
      { selector: 'a', within: [] },
      { selector: '.d::before', within: ['@media print'] },
    ]);
    expect(wrongImport({ from: 'src/faces/web/spill/a.tsx', to: 'src/faces/web/kits/kits.css' })).toContain(
      'only kits',
    );
    expect(wrongImport({ from: 'src/faces/web/spill/a.tsx', to: 'src/faces/web/parts/rows.css' })).toContain(
      'only parts',
    );
  });
});
