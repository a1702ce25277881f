import { told } from '../catalogue/index.ts';
import { type Problem, problem, show } from './problem.ts';
import type { Feature, Site } from './schema.ts';

/** Characters that cannot be seen, or turn the text round them: controls, formats, line ends. Joiners are letters' own. */
const HIDDEN = /(?![\u200c\u200d])[\p{Cc}\p{Cf}\u2028\u2029]/u;

/** A character as its code: "U+202E". */
const codeOf = (character: string) =>
  `U+${(character.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0')}`;

/** Texts that people cannot tell from what they are not: hidden characters in ids and names, ids that look the same. O(text). */
export function characterProblems({ name }: Site, features: readonly Feature[]): Problem[] {
  const problems = hiddenIn(null, 'site.name', name);
  const byForm = new Map<string, string>();
  for (const { id, properties } of features) {
    problems.push(...hiddenIn(id, 'id', id), ...hiddenIn(id, 'name', properties.name));
    const form = id.normalize('NFC');
    const other = byForm.get(form);
    if (other === undefined) byForm.set(form, id);
    else if (other !== id) problems.push(lookalike(id));
  }
  return problems;
}

function hiddenIn(id: string | null, field: string, text: unknown): Problem[] {
  const [found] = (typeof text === 'string' && HIDDEN.exec(text)) || [];
  if (found === undefined) return [];
  const code = codeOf(found);
  const words = { message: told('map.hidden-character', { code }), found: code, cure: told('map.write-without') };
  return [problem('hidden-characters', { id, field }, words)];
}

function lookalike(id: string): Problem {
  const words = { message: told('map.lookalike-id'), found: show(id), cure: told('map.mend-lookalike-id') };
  return problem('lookalike-id', { id, field: 'id' }, words);
}
