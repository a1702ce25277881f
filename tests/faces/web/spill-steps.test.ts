import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { uuidV7 } from '../../../src/faces/web/state/spill-entry.ts';
import { type SpillStepEvent, STEP_EVENTS, stepsFrom } from '../../../src/faces/web/state/spill-steps.ts';

const spill = uuidV7(0, new Uint8Array(10));
const said = (event: SpillStepEvent['event'], time: number, { at = 'CB-1', by = '' } = {}): SpillStepEvent => ({
  spill,
  step: { at, control: 'cover' },
  event,
  time,
  by,
});
const standing = (events: readonly SpillStepEvent[]) =>
  stepsFrom(events).map(({ at, is, time }) => `${at} ${is} ${time}`);

describe('how the steps of a spill stand', () => {
  test('the first of two who call it placed counts, what was taken back does not, and what was said last does', () => {
    expect(standing([said('placed', 3), said('placed', 2, { by: 'K.' })])).toEqual(['CB-1 placed 2']);
    expect(standing([said('placed', 2), said('taken-back', 3)])).toEqual([]);
    expect(standing([said('placed', 2), said('taken-back', 3), said('placed', 5)])).toEqual(['CB-1 placed 5']);
    expect(standing([said('cannot', 2), said('placed', 4)])).toEqual(['CB-1 placed 4']);
    expect(standing([said('gone-past', 9), said('cannot', 2, { at: 'CB-2' })])).toEqual([
      'CB-2 cannot 2',
      'CB-1 gone-past 9',
    ]);
  });

  test('who placed it, with what of which kit, stands with it', () => {
    const step = { at: 'CB-1', control: 'cover' as const, hand: 'here', kit: 'K-1' };
    expect(stepsFrom([{ ...said('placed', 3), step }])).toEqual([{ ...step, is: 'placed', time: 3 }]);
  });

  test('whatever the order in which events come in, and however often', () => {
    const event = fc.record({
      spill: fc.constant(spill),
      step: fc.record({ at: fc.constantFrom('A', 'B'), control: fc.constantFrom('cover' as const, 'sock' as const) }),
      event: fc.constantFrom(...STEP_EVENTS),
      time: fc.nat(9),
      by: fc.constantFrom('', 'K.'),
    });
    fc.assert(
      fc.property(fc.array(event, { maxLength: 12 }), (events) => {
        expect(stepsFrom([...events].reverse())).toEqual(stepsFrom(events));
        expect(stepsFrom([...events, ...events])).toEqual(stepsFrom(events));
      }),
    );
  });
});
