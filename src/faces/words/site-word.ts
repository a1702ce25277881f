/** "Tarn Lane Depot" as "tarn-lane-depot"; a site without a letter or digit is "site". */
export function siteWord(name: string): string {
  const word = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-+|-+$/g, '');
  return word || 'site';
}
