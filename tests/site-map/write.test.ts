import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { byId, readSiteMap, writeSiteMap } from '../../src/site-map/index.ts';
import { yardText } from '../support/yard.ts';

const words = {
  site: { name: 'Åre depå "north"', note: 'kept', costs: { pipePerM: 3, custom: { deep: [1, 2] } } },
  zones: { Z10: { drainsTo: 'CB-1', surveyedBy: 'K.', tags: ['a', { b: null }] }, Z2: { drainsTo: 'CB-1' } },
  structures: { 'CB-1': { kind: 'catch-basin', photo: 'x.jpg' }, 'OUT-1': { kind: 'outfall' } },
  links: { P1: { from: 'CB-1', to: 'OUT-1' } },
};

/** The same file with a foreign member, a bounding box, a third coordinate and a property called __proto__. */
function withForeignParts(): string {
  const file = JSON.parse(yardText(words));
  file.bbox = [-105, 39, -104, 41];
  file.survey = { by: 'K.', year: 2024 };
  file.features[2].geometry.coordinates.push(1612.5);
  file.features[2].bbox = [0, 0, 1, 1];
  return JSON.stringify(file).replace('"photo":"x.jpg"', '"photo":"x.jpg","__proto__":{"polluted":true}');
}

describe('writing a site map', () => {
  test('everything that was in the file comes back, unlisted properties, foreign members and heights included', () => {
    const text = withForeignParts();
    const { map, problems } = readSiteMap(text);
    expect(problems).toEqual([]);
    const again = JSON.parse(writeSiteMap(map.file));
    const before = JSON.parse(text);
    const inOrder = (features: { id: string }[]) => [...features].sort((a, b) => (a.id < b.id ? -1 : 1));
    expect({ ...again, features: inOrder(again.features) }).toEqual({ ...before, features: inOrder(before.features) });
    expect(writeSiteMap(map.file)).toContain('"__proto__":{"polluted":true}');
    expect(({} as { polluted?: boolean }).polluted).toBeUndefined();
  });

  test('features stand in the order of their kinds and ids, one on a line, whatever order they came in', () => {
    const file = JSON.parse(yardText(words));
    const expected = writeSiteMap(readSiteMap(JSON.stringify(file)).map.file);
    expect([...expected.matchAll(/^ {2}\{"type":"Feature","id":"([^"]+)"/gm)].map(([, id]) => id)).toEqual([
      'Z2',
      'Z10',
      'CB-1',
      'OUT-1',
      'P1',
    ]);
    fc.assert(
      fc.property(fc.shuffledSubarray([0, 1, 2, 3, 4], { minLength: 5 }), (order) => {
        const shuffled = { ...file, features: order.map((at) => file.features[at]) };
        expect(writeSiteMap(readSiteMap(JSON.stringify(shuffled)).map.file)).toBe(expected);
      }),
      { seed: 51, numRuns: 30 },
    );
  });

  test('what is written reads back without a problem and writes the same text again', () => {
    const once = writeSiteMap(readSiteMap(withForeignParts()).map.file);
    const reading = readSiteMap(once);
    expect(reading.problems).toEqual([]);
    expect(writeSiteMap(reading.map.file)).toBe(once);
  });

  test('ids are ordered as people read them', () => {
    expect(['CB-10', 'CB-2', 'CB-1', 'a', 'CB-02'].sort(byId)).toEqual(['a', 'CB-1', 'CB-02', 'CB-2', 'CB-10']);
  });
});
