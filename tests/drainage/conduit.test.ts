import { describe, expect, test } from 'vitest';
import { conduitOf, invertsOf } from '../../src/drainage/index.ts';
import { yardMap } from '../support/yard.ts';

/** A link between structures whose inverts are stated or not, as the pass of water has it. */
function conduit(link: Record<string, unknown>, inverts: { from?: number; to?: number } = {}) {
  const map = yardMap({
    structures: { A: { kind: 'manhole', invert: inverts.from }, B: { kind: 'manhole', invert: inverts.to } },
    links: { L: { from: 'A', to: 'B', lengthM: 50, ...link } },
  });
  return conduitOf(map.links[0], invertsOf(map));
}

describe('what a link is to its flow', () => {
  test('a pipe as stated', () => {
    expect(conduit({ diameterMm: 450, slope: 0.02, roughness: 0.011 })).toEqual({
      section: { shape: 'round', diameterM: 0.45 },
      slope: 0.02,
      roughness: 0.011,
      taken: [],
    });
  });

  test('a pipe that states nothing: 300 mm, one in a hundred, n = 0.013, and what was taken is said', () => {
    expect(conduit({})).toEqual({
      section: { shape: 'round', diameterM: 0.3 },
      slope: 0.01,
      roughness: 0.013,
      taken: ['slope', 'diameter'],
    });
    expect(conduit({ slope: 0.02 }).taken).toEqual(['diameter']);
    expect(conduit({ diameterMm: 200 }).taken).toEqual(['slope']);
  });

  test('a swale as stated, and one that states nothing: 0.6 m of bed, sides of 3 to 1, n = 0.03', () => {
    expect(conduit({ kind: 'swale', bedM: 1.2, sideSlope: 4, slope: 0.005, roughness: 0.05 })).toEqual({
      section: { shape: 'channel', bedM: 1.2, sideSlope: 4 },
      slope: 0.005,
      roughness: 0.05,
      taken: [],
    });
    expect(conduit({ kind: 'swale' })).toEqual({
      section: { shape: 'channel', bedM: 0.6, sideSlope: 3 },
      slope: 0.01,
      roughness: 0.03,
      taken: ['slope'],
    });
  });

  test('its fall: stated, else from its own inverts, else from those of its ends', () => {
    const ends = { from: 10, to: 9 };
    const slope = (link: Record<string, unknown>, inverts = {}) => conduit({ diameterMm: 300, ...link }, inverts);
    expect(slope({}, ends)).toMatchObject({ slope: 1 / 50, taken: [] });
    expect(slope({ fromInvert: 9.5 }, ends)).toMatchObject({ slope: 0.5 / 50, taken: [] });
    expect(slope({ toInvert: 8.5 }, ends)).toMatchObject({ slope: 1.5 / 50, taken: [] });
    expect(slope({ slope: 0.03, fromInvert: 9.5 }, ends)).toMatchObject({ slope: 0.03, taken: [] });
    // One end alone says nothing.
    expect(slope({}, { from: 10 })).toMatchObject({ slope: 0.01, taken: ['slope'] });
    expect(slope({}, { to: 9 })).toMatchObject({ slope: 0.01, taken: ['slope'] });
  });

  test('a link drawn from a place to itself has no length, and so no fall by its inverts', () => {
    const loop = { from: 'A', to: 'A', lengthM: undefined, fromInvert: 10, toInvert: 9, diameterMm: 300 };
    expect(conduit(loop)).toMatchObject({ slope: 0.01, taken: ['slope'] });
  });

  test('flat and uphill it falls by one in a thousand, which is said; at that very fall nothing is', () => {
    expect(conduit({ diameterMm: 300, slope: 0 })).toMatchObject({ slope: 0.001, taken: ['flat'] });
    expect(conduit({ diameterMm: 300, slope: 0.0009 })).toMatchObject({ slope: 0.001, taken: ['flat'] });
    expect(conduit({ diameterMm: 300 }, { from: 9, to: 10 })).toMatchObject({ slope: 0.001, taken: ['flat'] });
    expect(conduit({ diameterMm: 300, slope: 0.001 })).toMatchObject({ slope: 0.001, taken: [] });
    expect(conduit({ slope: -0.1 }).taken).toEqual(['flat', 'diameter']);
  });
});
