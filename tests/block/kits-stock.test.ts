import { describe, expect, test } from 'vitest';
import { coverFits, kitsOf } from '../../src/block/index.ts';
import { yardMap } from '../support/yard.ts';

function kit(properties: object) {
  const feature = { type: 'Feature', id: 'KIT-1', properties: { kind: 'kit', ...properties } };
  const geometry = { type: 'Point', coordinates: [-105, 40] };
  return kitsOf(yardMap({ zones: {}, structures: {}, links: {}, others: [{ ...feature, geometry }] }))[0];
}
const any = Number.POSITIVE_INFINITY;

describe('what kits hold', () => {
  test('what is listed; socks by the sorbent where none are listed, booms and berms as many as are wanted', () => {
    const { stock, sorbentLitres } = kit({ contents: { sorbentLitres: 75, covers: 2, plugs: 1 } });
    expect(stock).toMatchObject({ cover: 2, plug: 1, sock: 3, boom: any, berm: any, absorb: any });
    expect(sorbentLitres).toBe(75);
    expect(kit({ contents: { sorbentLitres: 75, socks: 1, booms: 2 } }).stock).toMatchObject({
      sock: 1,
      boom: 2,
      cover: 0,
    });
  });

  test('without sorbent nothing can be laid from it, and what needs no kit is always there', () => {
    const { stock, sorbentLitres } = kit({ contents: { covers: 1 } });
    expect(stock).toMatchObject({ cover: 1, sock: 0, boom: 0, berm: 0, absorb: 0, valve: any, 'fuel-stop': any });
    expect(sorbentLitres).toBe(0);
  });

  test('a kit that lists nothing is not counted', () => {
    const { stock, sorbentLitres } = kit({});
    expect([...new Set(Object.values(stock))]).toEqual([any]);
    expect(sorbentLitres).toBe(any);
  });

  test('a cover closes a grate that is no wider than it is; what is not stated is taken to fit', () => {
    const held = kit({ coverMm: 900 });
    expect([600, 900, 901, undefined].map((opening) => coverFits(held, opening))).toEqual([true, true, false, true]);
    expect(coverFits(kit({}), 5000)).toBe(true);
  });
});
