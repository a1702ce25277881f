import type { Kind } from '../vocabulary.ts';
import type { SourceFeature } from './layers.ts';

const PREFIXES: Partial<Record<Kind, string>> = {
  zone: 'Z',
  'catch-basin': 'CB',
  'trench-drain': 'TD',
  manhole: 'MH',
  valve: 'V',
  pond: 'POND',
  separator: 'SEP',
  outfall: 'OUT',
  sanitary: 'SAN',
  pipe: 'P',
  swale: 'S',
  overland: 'O',
};

/**
 * The id a source feature asks for: its kind's prefix and its own id, or its place in the layer where it has none. An
 * id that already begins so is kept as it is. `steps` are the part and the piece, where there are several: "P-73.2".
 */
export function idFor(kind: Kind, source: SourceFeature, steps: readonly (number | null)[]): string {
  const own = String(source.id ?? source.place).trim();
  const prefix = `${PREFIXES[kind]}-`;
  const base = own.startsWith(prefix) ? own : prefix + own;
  return [base, ...steps.filter((step) => step !== null)].join('.');
}

/** The id of a structure that no source feature stands for: "MH-X1". */
export function madeIdFor(kind: Kind, count: number): string {
  return `${PREFIXES[kind]}-X${count}`;
}

/** Gives out ids so that none is used twice: the first asker gets what it wants, the next "CB-7-2", "CB-7-3". */
export class Ids {
  private readonly used = new Set<string>();
  private readonly last = new Map<string, number>();

  /** O(1) on average. */
  claim(wanted: string): string {
    let id = wanted;
    let number = this.last.get(wanted) ?? 1;
    while (this.used.has(id)) id = `${wanted}-${++number}`;
    this.last.set(wanted, number);
    this.used.add(id);
    return id;
  }
}
