import { describe, expect, test } from 'vitest';
import { checkMap } from '../../src/drainage/index.ts';
import { readSiteMap } from '../../src/site-map/index.ts';
import { type YardWords, yardText } from '../support/yard.ts';

const report = (words: YardWords) => checkMap(readSiteMap(yardText(words)));
const codesAt = (words: YardWords) =>
  report(words).problems.map(({ code, id, severity }) => `${severity} ${code} ${id}`);

const sound: YardWords = {
  zones: { Z1: { drainsTo: 'CB-1', areaM2: 1000 }, Z2: { drainsTo: 'CB-2', areaM2: 500 } },
  structures: {
    'CB-1': { kind: 'catch-basin' },
    'CB-2': { kind: 'catch-basin' },
    'SEP-1': { kind: 'separator' },
    'OUT-1': { kind: 'outfall' },
  },
  links: { P1: { from: 'CB-1', to: 'SEP-1' }, P2: { from: 'CB-2', to: 'SEP-1' }, P3: { from: 'SEP-1', to: 'OUT-1' } },
};

describe('check', () => {
  test('a sound map has no problem, and its separator has all its zones and their whole area', () => {
    const { problems, separators, unprotected, loops, deadEnds, counts } = report(sound);
    expect(problems).toEqual([]);
    expect(separators).toMatchObject([{ id: 'SEP-1', zones: ['Z1', 'Z2'], areaM2: 1500 }]);
    expect([unprotected, loops, deadEnds]).toEqual([[], [], []]);
    expect(counts).toMatchObject({ features: 9, zones: 2, structures: 4, links: 3, 'catch-basin': 2, pipe: 3 });
  });

  test('a zone goes round when one way to an outfall passes no separator, though another does', () => {
    const words = { ...sound, links: { ...sound.links, P4: { from: 'CB-2', to: 'OUT-1' } } };
    expect(report(words).unprotected).toEqual(['Z2']);
    expect(codesAt(words)).toEqual(['warning goes-round Z2']);
  });

  test('a sanitary connection is no outfall: a zone that ends there does not go round', () => {
    const words = {
      ...sound,
      structures: { ...sound.structures, 'SAN-1': { kind: 'sanitary' } },
      links: { ...sound.links, P4: { from: 'CB-2', to: 'SAN-1' } },
    };
    expect(report(words).unprotected).toEqual([]);
    expect(report(words).deadEnds).toEqual([]);
  });

  test('a second separator on the way protects; one beside the way does not', () => {
    const structures = { ...sound.structures, 'SEP-2': { kind: 'separator' } };
    const before = {
      ...sound,
      structures,
      links: { ...sound.links, P2: { from: 'CB-2', to: 'SEP-2' }, P4: { from: 'SEP-2', to: 'OUT-1' } },
    };
    expect(report(before).unprotected).toEqual([]);
    const beside = { ...sound, structures, links: { ...sound.links, P2: { from: 'CB-2', to: 'OUT-1' } } };
    expect(report(beside).unprotected).toEqual(['Z2']);
  });

  test('loops, dead ends, self-links, parallel links, uphill pipes and shares are found where they are', () => {
    const broken: YardWords = {
      zones: {
        Z1: {
          drainsTo: [
            { to: 'A', share: 0.5 },
            { to: 'B', share: 0.2 },
          ],
        },
      },
      structures: {
        A: { kind: 'manhole', invert: 1 },
        B: { kind: 'manhole', invert: 2 },
        C: { kind: 'catch-basin' },
        'OUT-1': { kind: 'outfall' },
      },
      links: {
        P1: { from: 'A', to: 'B' },
        P2: { from: 'B', to: 'A', share: 0.9 },
        P3: { from: 'B', to: 'OUT-1', share: 0.6 },
        P4: { from: 'B', to: 'OUT-1' },
        P5: { from: 'C', to: 'C' },
        P6: { from: 'A', to: 'OUT-1', slope: -0.01 },
      },
    };
    expect(new Set(codesAt(broken))).toEqual(
      new Set([
        'warning loop A',
        'warning dead-end C',
        'warning self-link P5',
        'note parallel-links P4',
        'warning uphill P1',
        'warning uphill P6',
        'warning shares-over B',
        'warning shares-under Z1',
        'warning goes-round Z1',
      ]),
    );
    expect(report(broken).loops).toEqual([['A', 'B']]);
    expect(report(broken).deadEnds).toEqual(['C']);
  });

  test('a link that crosses the property line is noted; one that stays inside is not', () => {
    const line = (coordinates: number[][]) => ({
      type: 'Feature',
      id: 'PL',
      properties: { kind: 'property-line' },
      geometry: { type: 'LineString', coordinates },
    });
    // The structures stand from west to east on one parallel, 0.0005 degrees apart: only the last pipe, from SEP-1 to OUT-1, passes the meridian of the line.
    const words = {
      ...sound,
      others: [
        line([
          [-104.99875, 39.9],
          [-104.99875, 40.1],
        ]),
      ],
    };
    expect(codesAt(words)).toEqual(['note crosses-property-line P3']);
    expect(
      codesAt({
        ...sound,
        others: [
          line([
            [-104.9, 39.9],
            [-104.9, 40.1],
          ]),
        ],
      }),
    ).toEqual([]);
  });

  test('an unlisted property that looks like a listed one is noted, others are not', () => {
    const words = {
      ...sound,
      zones: { ...sound.zones, Z1: { drainsTo: 'CB-1', areaM2: 1000, Slope: 0.03, runofC: 0.5, surveyedBy: 'K.' } },
    };
    expect(report(words).problems.map(({ code, id, field, allowed }) => [code, id, field, allowed])).toEqual([
      ['misspelt', 'Z1', 'Slope', 'slope'],
      ['misspelt', 'Z1', 'runofC', 'runoffC'],
    ]);
  });

  test('a map with errors still gives its counts, its oilsheds and every problem', () => {
    const words = { ...sound, links: { ...sound.links, P4: { from: 'CB-2', to: 'CB-99' } } };
    const { problems, separators } = report(words);
    expect(problems).toMatchObject([
      { severity: 'error', code: 'unknown-id', id: 'P4', field: 'to', found: '"CB-99"' },
    ]);
    expect(separators[0].zones).toEqual(['Z1', 'Z2']);
  });

  test('the rain that overruns a separator is its design flow over the runoff of its zones', () => {
    const words = {
      ...sound,
      structures: { ...sound.structures, 'SEP-1': { kind: 'separator', designFlowLps: 3.75 } },
    };
    // 1,500 m² of asphalt (C 0.9) shed 0.375 L/s for each mm/h.
    expect(report(words).separators[0].designRainMmPerH).toBeCloseTo(10, 12);
    expect(report(sound).separators[0].designRainMmPerH).toBeNull();
  });
});
