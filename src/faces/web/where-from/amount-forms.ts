import type { FindingSource } from '../compute/protocol.ts';

/** The ways in which people measure oil. */
export type MeasuredBy = 'litres' | 'thickness' | 'appearance' | 'socks';

type Amount = NonNullable<FindingSource['amount']>;

/** The looks of a film on water, thinnest first, as they are known by their codes. */
export const LOOKS: readonly { code: number; words: string }[] = [
  { code: 1, words: 'Silvery sheen' },
  { code: 2, words: 'Rainbow colours' },
  { code: 3, words: 'Dull like metal' },
  { code: 4, words: 'Oil’s own colour, in patches' },
  { code: 5, words: 'Oil’s own colour, unbroken' },
];

const FIRST_LITRES = 5;
const FIRST_AREA_M2 = 2;
const FIRST_CODE = 3;
/** Oil in a full sock, litres: only to start the form near what stood there before. */
const SOCK_LITRES = 2.3;

export function measuredBy(amount: Amount): MeasuredBy {
  if ('thicknessMm' in amount) return 'thickness';
  if ('appearance' in amount) return 'appearance';
  return 'socks' in amount ? 'socks' : 'litres';
}

/** An amount to start from when the way of measuring changes: about as much oil as before, where that can be. */
export function startAmount(by: MeasuredBy, litres: number | null, knownAreaM2: number | null): Amount {
  const start = litres ?? FIRST_LITRES;
  const areaM2 = knownAreaM2 ?? FIRST_AREA_M2;
  if (by === 'litres') return { litres: start };
  if (by === 'thickness') return { thicknessMm: start / areaM2, areaM2 };
  if (by === 'appearance') return { appearance: [{ code: FIRST_CODE, share: 1 }], areaM2 };
  return { socks: Math.max(1, Math.round(start / SOCK_LITRES)) };
}

type Appearance = { code: number; share: number }[];

export const appearanceOf = (amount: Amount): Appearance =>
  Array.isArray(amount.appearance) ? (amount.appearance as Appearance) : [];

/** The part of a film that has the look of a code. */
export const shareOf = (appearance: Appearance, code: number): number =>
  appearance.filter((each) => each.code === code).reduce((sum, { share }) => sum + share, 0);

/** The appearance with one look's share changed; null where the shares would come to more than the whole. */
export function withShare(appearance: Appearance, code: number, share: number): Appearance | null {
  const all = LOOKS.map((look) => ({
    code: look.code,
    share: look.code === code ? share : shareOf(appearance, look.code),
  }));
  if (all.reduce((sum, each) => sum + each.share, 0) > 1 + 1e-9) return null;
  const some = all.filter((each) => each.share > 0);
  return some.length > 0 ? some : [{ code: LOOKS[0].code, share: 0 }];
}
