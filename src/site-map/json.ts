import { type Told, told } from '../catalogue/index.ts';
import { fieldOf } from './explain.ts';
import { firstFault } from './json-fault.ts';
import { type Problem, problem } from './problem.ts';

/** The largest text that is read, in UTF-16 units. A yard takes some 100 kB, a large town's network some 10 MB. */
const LARGEST_TEXT = 128_000_000;
/** How deep lists and objects may stand in each other; a MultiPolygon of a map's feature stands 7 deep. */
const DEEPEST = 100;
/** So many lists and objects, some 64 bytes each once parsed, and so many values in all, some 16 bytes each. */
const MOST_PARTS = 3_000_000;
const MOST_VALUES = 20_000_000;
/** So many keys in one object. */
const MOST_KEYS = 100_000;
/** So many keys that stand twice are named. */
const MOST_NAMED = 20;

/** What is done about a key that stands twice in one object. */
export type Twice = 'refuse' | 'warn';
type Path = readonly (string | number)[];

/**
 * Parses JSON text. Its depth and its number of values are counted before anything is parsed, so that a small text cannot
 * fill memory. `value` is undefined where it is not read, and the problem says why. A key that stands twice in one object,
 * of which JSON.parse keeps the last, is an error, or with `twice` "warn" a warning. O(text).
 */
export function parseJson(text: string, twice: Twice = 'refuse'): { value?: unknown; problems: Problem[] } {
  if (text.length > LARGEST_TEXT) return tooLarge('map.too-long', millions(text.length), LARGEST_TEXT);
  const { depth, parts, values, keys, repeats, repeated } = scan(text);
  if (depth > DEEPEST) {
    const message = told('map.too-deep', { depth: DEEPEST });
    return refuse('too-deep', { message, allowed: told('map.at-most', { most: DEEPEST }), cure: told('map.flatter') });
  }
  if (parts > MOST_PARTS) return tooLarge('map.too-many-parts', millions(MOST_PARTS), MOST_PARTS);
  if (values > MOST_VALUES) return tooLarge('map.too-many-values', millions(MOST_VALUES), MOST_VALUES);
  if (keys > MOST_KEYS) {
    const message = told('map.too-many-keys', { most: MOST_KEYS });
    return refuse('too-large', { message, allowed: told('map.at-most', { most: MOST_KEYS }), cure: told('map.split') });
  }
  const plain = text.replace(/^\uFEFF/, '');
  try {
    const value: unknown = JSON.parse(plain);
    const problems = repeatProblems(repeated, repeats, value, twice);
    return twice === 'refuse' && problems.length > 0 ? { problems } : { value, problems };
  } catch {
    return { problems: [problem('not-json', WHOLE, { message: faultIn(plain), cure: told('map.save-json') })] };
  }
}

/** Where a text is no JSON. */
function faultIn(text: string): Told {
  const at = firstFault(text) ?? text.length;
  if (at === text.length) return told('map.breaks-off');
  const lines = text.slice(0, at).split('\n');
  return told('map.not-json', { line: String(lines.length), column: String(lines[lines.length - 1].length + 1) });
}

const WHOLE = { id: null, field: null };
const millions = (count: number) => Math.round(count / 1e6);

const refuse = (code: 'too-large' | 'too-deep', words: { message: Told; allowed: Told; cure: Told }) => ({
  problems: [problem(code, WHOLE, words)],
});

const tooLarge = (key: 'map.too-long' | 'map.too-many-parts' | 'map.too-many-values', found: number, most: number) =>
  refuse('too-large', {
    message: told(key, { millions: found }),
    allowed: told('map.at-most-millions', { millions: millions(most) }),
    cure: told('map.split'),
  });

function repeatProblems(repeated: readonly Path[], repeats: number, value: unknown, twice: Twice): Problem[] {
  const named = repeated.map((path) => {
    const words = { message: told('map.key-twice'), cure: told('map.mend-key-twice') };
    return problem(twice === 'warn' ? 'duplicate-key' : 'bad-field', whereInFile(path, value), words);
  });
  const left = repeats - named.length;
  const [first] = named;
  return left > 0 ? [...named, { ...first, ...WHOLE, message: told('map.more-keys-twice', { count: left }) }] : named;
}

/** Where a key stands: in a list of things with ids, such as a map's features, the id and the field in it. */
function whereInFile(path: Path, value: unknown): Pick<Problem, 'id' | 'field'> {
  const [list, at, ...rest] = path;
  const item = typeof at === 'number' && rest.length > 0 ? memberOf(memberOf(value, list), at) : undefined;
  const id = memberOf(item, 'id');
  return typeof id === 'string' ? { id, field: fieldOf(rest) } : { id: null, field: fieldOf(path) };
}

const memberOf = (value: unknown, key: PropertyKey): unknown =>
  typeof value === 'object' && value !== null ? Object.getOwnPropertyDescriptor(value, key)?.value : undefined;

/** A list or object that is open at a place of the text. */
interface Open {
  /** The keys so far; null in a list. */
  keys: KeySet | null;
  key: string;
  index: number;
}

interface Scan {
  depth: number;
  parts: number;
  values: number;
  /** The most in one object. */
  keys: number;
  /** Keys that their object had before: how many, and where the first of them stand. */
  repeats: number;
  repeated: Path[];
}

const [QUOTE, BACKSLASH, COMMA, COLON] = ['"', '\\', ',', ':'].map((each) => each.charCodeAt(0));
const [OPEN_LIST, CLOSE_LIST, OPEN_OBJECT, CLOSE_OBJECT] = ['[', ']', '{', '}'].map((each) => each.charCodeAt(0));

/**
 * Goes over a text once without making anything of it, and stops where it is past a limit. Where the text is no JSON what
 * comes back means nothing; JSON.parse says so then.
 */
function scan(text: string): Scan {
  const found: Scan = { depth: 0, parts: 0, values: 1, keys: 0, repeats: 0, repeated: [] };
  const open: Open[] = [];
  for (let at = 0; at < text.length; at++) {
    const code = text.charCodeAt(at);
    if (code === QUOTE) {
      const end = endOfText(text, at);
      const inner = open[open.length - 1];
      if (inner?.keys && isKey(text, end)) {
        inner.key = textBetween(text, at, end);
        found.keys = Math.max(found.keys, inner.index + 1);
        if (inner.keys.isRepeat(inner.key) && found.repeats++ < MOST_NAMED)
          found.repeated.push(open.map(({ keys, key, index }) => (keys ? key : index)));
      }
      at = end;
    } else if (code === COMMA) {
      found.values++;
      if (open.length > 0) open[open.length - 1].index++;
    } else if (code === OPEN_LIST || code === OPEN_OBJECT) {
      found.parts++;
      found.depth = Math.max(
        found.depth,
        open.push({ keys: code === OPEN_LIST ? null : new KeySet(), key: '', index: 0 }),
      );
    } else if (code === CLOSE_LIST || code === CLOSE_OBJECT) open.pop();
    if (isPastLimit(found)) break;
  }
  return found;
}

const isPastLimit = ({ depth, parts, values, keys }: Scan) =>
  depth > DEEPEST || parts > MOST_PARTS || values > MOST_VALUES || keys > MOST_KEYS;

/** The place of the quote mark that ends a text in quotes; the end of all where none does. */
function endOfText(text: string, start: number): number {
  for (let at = text.indexOf('"', start + 1); at >= 0; at = text.indexOf('"', at + 1)) {
    let before = at - 1;
    while (text.charCodeAt(before) === BACKSLASH) before--;
    if ((at - before) % 2 === 1) return at;
  }
  return text.length;
}

/** Whether the text in quotes that ends at a place is a key: a colon follows, blanks aside. */
function isKey(text: string, end: number): boolean {
  let at = end + 1;
  while (text.charCodeAt(at) <= 0x20) at++;
  return text.charCodeAt(at) === COLON;
}

/** What a text in quotes says. */
function textBetween(text: string, start: number, end: number): string {
  const inside = text.slice(start + 1, end);
  if (!inside.includes('\\')) return inside;
  try {
    return String(JSON.parse(`"${inside}"`));
  } catch {
    return inside;
  }
}

/** Beyond so many keys looking through all of them is slower than a set. */
const FEW_KEYS = 12;

/** The keys of an object so far: most objects have few. */
class KeySet {
  private few: string[] = [];
  private many: Set<string> | null = null;

  /** Takes a key; whether it was there already. */
  isRepeat(key: string): boolean {
    const isKnown = this.many ? this.many.has(key) : this.few.includes(key);
    if (isKnown) return true;
    if (this.many) this.many.add(key);
    else if (this.few.push(key) > FEW_KEYS) this.many = new Set(this.few);
    return false;
  }
}
