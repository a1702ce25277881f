import { isSiteId, type SiteId } from '../log-book/index.ts';

/** An entry's `site` has no more characters than this. */
const LONGEST = 100;
const HASH_DIGITS = 8;

/**
 * "Tarn Lane Depot" as "tarn-lane-depot"; a site without a letter or digit is "site". One over 100 characters is cut, and a
 * hash of the whole at its end keeps long names with the same beginning apart.
 */
export function siteWord(name: string): SiteId {
  const id = shortened(wordOf(name));
  if (!isSiteId(id)) throw new Error(`${id} cannot be the name of a site`);
  return id;
}

/** Which site it is in eight signs that tell nobody its name: addresses of pages carry it, and may be passed on. */
export const siteMark = (name: string): string => hashOf(siteWord(name));

const wordOf = (name: string) =>
  name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-+|-+$/g, '')
    .normalize('NFC') || 'site';

function shortened(word: string): string {
  const characters = [...word];
  if (characters.length <= LONGEST) return word;
  return `${characters.slice(0, LONGEST - HASH_DIGITS - 1).join('')}-${hashOf(word)}`;
}

/** FNV-1a of 32 bits, in hex: pages over plain http have no other hash that comes back at once. */
function hashOf(text: string): string {
  let hash = 0x811c9dc5;
  for (const byte of new TextEncoder().encode(text)) hash = Math.imul(hash ^ byte, 0x01000193);
  return (hash >>> 0).toString(16).padStart(HASH_DIGITS, '0');
}
