import type { Amount } from '../../../sources/index.ts';

/** The ways in which people measure oil. */
const MEASURED_BY = ['litres', 'thickness', 'appearance', 'socks'] as const;
export type MeasuredBy = (typeof MEASURED_BY)[number];
export const isMeasuredBy = (word: string): word is MeasuredBy => MEASURED_BY.some((by) => by === word);

/** The looks of a film on water, thinnest first, as they are known by their codes. */
export const LOOKS = [
  { code: 1, look: 'sheen' },
  { code: 2, look: 'rainbow' },
  { code: 3, look: 'metal' },
  { code: 4, look: 'patches' },
  { code: 5, look: 'unbroken' },
] as const;

const FIRST_LITRES = 5;
const FIRST_AREA_M2 = 2;
const FIRST_CODE = 3;
/** Oil in a full sock, litres: only to start the form near what stood there before. */
const SOCK_LITRES = 2.3;

export function measuredBy(amount: Amount): MeasuredBy {
  if (amount.litres !== undefined) return 'litres';
  if (amount.thicknessMm !== undefined) return 'thickness';
  if (amount.appearance !== undefined) return 'appearance';
  return amount.socks !== undefined ? 'socks' : (amount satisfies never);
}

/** An amount to start from when the way of measuring changes: about as much oil as before, where that can be. */
export function startAmount(by: MeasuredBy, litres: number | null, knownAreaM2: number | null): Amount {
  const start = litres ?? FIRST_LITRES;
  const areaM2 = knownAreaM2 ?? FIRST_AREA_M2;
  switch (by) {
    case 'litres':
      return { litres: start };
    case 'thickness':
      return { thicknessMm: start / areaM2, areaM2 };
    case 'appearance':
      return { appearance: [{ code: FIRST_CODE, share: 1 }], areaM2 };
    case 'socks':
      return { socks: Math.max(1, Math.round(start / SOCK_LITRES)) };
    default:
      return by satisfies never;
  }
}

type Appearance = readonly { code: number; share: number }[];

/** The part of a film that has the look of a code. */
export const shareOf = (appearance: Appearance, code: number): number =>
  appearance.filter((each) => each.code === code).reduce((sum, { share }) => sum + share, 0);

/** The appearance with one look's share changed; null where the shares would come to more than the whole. */
export function withShare(
  appearance: Appearance,
  code: number,
  share: number,
): { code: number; share: number }[] | null {
  const all = LOOKS.map((each): { code: number; share: number } => ({
    code: each.code,
    share: each.code === code ? share : shareOf(appearance, each.code),
  }));
  if (all.reduce((sum, each) => sum + each.share, 0) > 1 + 1e-9) return null;
  const some = all.filter((each) => each.share > 0);
  return some.length > 0 ? some : [{ code: LOOKS[0].code, share: 0 }];
}
