/** A box in pixels, by its middle and its size. */
export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

const CELL = 64;

const overlap = (a: Box, b: Box): boolean =>
  Math.abs(a.x - b.x) * 2 < a.width + b.width && Math.abs(a.y - b.y) * 2 < a.height + b.height;

/** Boxes already taken, kept in a coarse grid so that a large town's labels stay quick to place. */
export class TakenBoxes {
  readonly #cells = new Map<string, Box[]>();

  isFree(box: Box): boolean {
    return cellsOf(box).every((key) => !this.#cells.get(key)?.some((other) => overlap(box, other)));
  }

  take(box: Box): void {
    for (const key of cellsOf(box)) {
      const cell = this.#cells.get(key);
      if (cell) cell.push(box);
      else this.#cells.set(key, [box]);
    }
  }
}

function cellsOf({ x, y, width, height }: Box): string[] {
  const keys: string[] = [];
  for (let column = Math.floor((x - width / 2) / CELL); column <= Math.floor((x + width / 2) / CELL); column++) {
    for (let row = Math.floor((y - height / 2) / CELL); row <= Math.floor((y + height / 2) / CELL); row++) {
      keys.push(`${column},${row}`);
    }
  }
  return keys;
}

/** About how wide a text is, in pixels: labels are placed before they are drawn, and on machines without a screen. */
export const textWidth = (text: string, sizePx: number): number => text.length * sizePx * 0.56;
