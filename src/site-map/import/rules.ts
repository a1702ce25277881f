import { type Told, told } from '../../catalogue/index.ts';
import { type Problem, problem, show } from '../problem.ts';
import {
  isLinkKind,
  isStructureKind,
  LINK_KINDS,
  type LinkKind,
  STRUCTURE_KINDS,
  type StructureKind,
} from '../vocabulary.ts';

/** Which features are taken: those whose property has one of the values (`keeps`), or none of them. */
export interface KeepRule {
  property: string;
  values: string[];
  keeps: boolean;
}

/** What a feature becomes. A structure kind speaks of points, a link kind of lines. `value` null is any value. */
export interface KindRule {
  property: string | null;
  value: string | null;
  kind: StructureKind | LinkKind;
}

export interface ImportRules {
  keep: KeepRule[];
  kinds: KindRule[];
}

const KIND_WORDS = [...STRUCTURE_KINDS, ...LINK_KINDS].join(', ');

/**
 * Reads the texts of `--keep` and `--kind`.
 *
 * `--keep "SystemType=Stormwater"` takes features whose property has the value; `"A=x,y"` either value; `"A!=x"` all
 * but that; an empty value stands for a property that is missing or null. Several `--keep` must all hold.
 * `--kind "Type=2:catch-basin,9:outfall,2:pipe"` says what becomes what. The word after the colon decides: structure
 * kinds speak of points, link kinds of lines, so one property may mean different things for both. `*` is any value
 * (`"Type=*:manhole"`, or `"*:pipe"` for all lines). The first rule that fits is used. Blanks around names and values
 * do not count; a value with a comma or a colon in it stands in double quotes.
 *
 * Comes back with every rule that could be read and a problem (`bad-field`) for each that could not. O(text).
 */
export function parseImportRules({ keep, kind }: { keep: readonly string[]; kind: readonly string[] }): ImportRules & {
  problems: Problem[];
} {
  const problems: Problem[] = [];
  const rules: ImportRules = { keep: [], kinds: [] };
  for (const text of keep) {
    const rule = keepRule(text);
    if (rule) rules.keep.push(rule);
    else problems.push(badRule('--keep', text, told('import.keep-form', { unlike: '!=' })));
  }
  for (const text of kind) {
    const { property, list } = halves(text);
    for (const entry of entriesOf(list)) {
      const rule = property === '' ? undefined : kindRule(property, entry);
      if (rule) rules.kinds.push(rule);
      else
        problems.push(
          badRule('--kind', entry === list ? text : entry, told('import.kind-form', { kinds: KIND_WORDS })),
        );
    }
  }
  return { ...rules, problems };
}

function badRule(field: string, text: string, allowed: Told): Problem {
  const found = show(text);
  const words = {
    message: told('import.bad-rule', { rule: found }),
    found,
    allowed,
    cure: told('map.write', { allowed }),
  };
  return problem('bad-field', { id: null, field }, words);
}

/** What stands before and after the first "="; no "=" means no property, which is not the same as an empty one. */
function halves(text: string): { property: string | null; list: string } {
  const at = text.indexOf('=');
  return at < 0 ? { property: null, list: text } : { property: text.slice(0, at).trim(), list: text.slice(at + 1) };
}

/** The parts between commas; a comma inside double quotes is part of a value. An empty text is one empty part. */
function entriesOf(list: string): string[] {
  const entries = [''];
  let quoted = false;
  for (const letter of list) {
    if (letter === '"') quoted = !quoted;
    if (letter === ',' && !quoted) entries.push('');
    else entries[entries.length - 1] += letter;
  }
  return entries;
}

function unquoted(text: string): string {
  const value = text.trim();
  return value.length > 1 && value.startsWith('"') && value.endsWith('"') ? value.slice(1, -1) : value;
}

function keepRule(text: string): KeepRule | undefined {
  const { property, list } = halves(text);
  if (property === null) return undefined;
  const keeps = !property.endsWith('!');
  const name = keeps ? property : property.slice(0, -1).trim();
  return name === '' ? undefined : { property: name, values: entriesOf(list).map(unquoted), keeps };
}

function kindRule(property: string | null, entry: string): KindRule | undefined {
  const colon = entry.lastIndexOf(':');
  const kind = entry.slice(colon + 1).trim();
  const value = entry.slice(0, Math.max(0, colon)).trim();
  if (colon < 0 || !(isStructureKind(kind) || isLinkKind(kind))) return undefined;
  if (value === '*') return { property, value: null, kind };
  return property === null ? undefined : { property, value: unquoted(value), kind };
}
