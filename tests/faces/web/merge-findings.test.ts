import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { FindingSource } from '../../../src/faces/web/compute/protocol.ts';
import { mergedFindings } from '../../../src/faces/web/state/merge-findings.ts';

const finding = (id: string, at = 'CB-1'): FindingSource => ({
  id,
  at,
  since: '2026-06-15',
  seenAt: '2026-09-14',
  seen: 'oil',
});
const said = (all: readonly FindingSource[]) => all.map(({ id, at }) => `${id} ${at}`);

test('what either tab added stays, and what either took out is out', () => {
  const base = [finding('F1'), finding('F2'), finding('F3')];
  const mine = [finding('F2'), finding('F3', 'CB-9'), finding('F4', 'CB-4')];
  const theirs = [finding('F1'), finding('F3'), finding('F4', 'CB-5')];
  // F1 was taken out here, F2 there; F3 was changed here; both gave F4 away.
  expect(said(mergedFindings(base, { mine, theirs }))).toEqual(['F3 CB-9', 'F4 CB-5', 'F9 CB-4']);
});

test('a finding that one tab changed outlives that the other took it out', () => {
  const base = [finding('F1')];
  expect(said(mergedFindings(base, { mine: [finding('F1', 'CB-2')], theirs: [] }))).toEqual(['F1 CB-2']);
  expect(said(mergedFindings(base, { mine: [], theirs: [finding('F1', 'CB-2')] }))).toEqual([]);
});

const lists = fc.uniqueArray(fc.record({ id: fc.integer({ min: 1, max: 6 }), at: fc.constantFrom('CB-1', 'CB-2') }), {
  selector: ({ id }) => id,
});
const listOf = (all: { id: number; at: string }[]) => all.map(({ id, at }) => finding(`F${id}`, at));

test('no finding that one tab alone has is lost, ids stay one each, and who has nothing new takes over the other', () => {
  fc.assert(
    fc.property(lists, lists, lists, (first, second, third) => {
      const [base, mine, theirs] = [first, second, third].map(listOf);
      const merged = mergedFindings(base, { mine, theirs });
      expect(new Set(merged.map(({ id }) => id)).size).toBe(merged.length);
      const isNew = (each: FindingSource) => !base.some(({ id }) => id === each.id);
      for (const each of [...mine, ...theirs].filter(isNew))
        expect(merged.filter(({ at }) => at === each.at).length).toBeGreaterThan(0);
      expect(mergedFindings(base, { mine: base, theirs })).toEqual(theirs);
      expect(mergedFindings(base, { mine, theirs: mine })).toEqual(mine);
    }),
  );
});
