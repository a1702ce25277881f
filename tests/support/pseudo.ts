import { loadMessages, type Messages, type SiteHabits, voiceOf } from '../../src/catalogue/index.ts';

/** The messages of a language that does not exist: English between brackets, so that what was not said by the catalogue shows. */
export const pseudo = (messages: Messages): Messages =>
  Object.fromEntries(
    Object.entries(messages).map(([key, message]) => [
      key,
      ['⟦', ...(typeof message === 'string' ? [message] : message), '⟧'],
    ]),
  );

/** A voice of that language; it calls itself Spanish, so that whoever asks for its name knows it. */
export const pseudoVoice = async (site?: SiteHabits) =>
  voiceOf({ language: 'es', messages: pseudo(await loadMessages('en')) }, site);

const INNERMOST = /⟦[^⟦⟧]*⟧/g;

/** Words of a text that no message said, without those of `names`: the map's own, ids, numbers. A message may stand inside another. */
export function escapedWords(text: string, names: readonly string[] = []): string[] {
  let left = text;
  for (;;) {
    const next = left.replace(INNERMOST, ' ');
    if (next === left) break;
    left = next;
  }
  for (const name of [...names].sort((a, b) => b.length - a.length)) left = left.replaceAll(name, ' ');
  return left.match(/\p{L}{2,}/gu) ?? [];
}

/** All texts of a value, such as the names and ids of a map: what stands on screens as it is. */
export function textsIn(value: unknown): string[] {
  if (typeof value === 'string') return [value];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(textsIn) : [];
}
