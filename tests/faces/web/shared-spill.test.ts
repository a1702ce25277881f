import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { entriesFor, eventsIn, standingOf } from '../../../src/faces/web/state/shared-spill.ts';
import type { SpillFacts } from '../../../src/faces/web/state/spill.ts';
import { uuidV7 } from '../../../src/faces/web/state/spill-entry.ts';
import { type SpillStepEvent, stepsFrom } from '../../../src/faces/web/state/spill-steps.ts';
import type { Entry } from '../../../src/log-book/index.ts';
import { isoTime } from '../../../src/site-map/index.ts';

const START = Date.parse('2026-05-30T14:00:00Z');
const spill = uuidV7(START, new Uint8Array(10));
const facts: SpillFacts = {
  place: { zone: 'Z1' },
  litres: 60,
  isStill: false,
  fluid: 'diesel',
  overMinutes: 10,
  rainMmPerH: 0,
  agoMinutes: 0,
  helpers: 'all',
};
const said = (event: SpillStepEvent['event'], minute: number, at = 'CB-1', by = 'A.'): SpillStepEvent => ({
  spill,
  step: { at, control: 'cover', hand: 'here' },
  event,
  time: START + minute * 60_000,
  by,
});

/** The log book after a device has written what it has to say; what is there already is written once. */
function written(book: readonly Entry[], events: readonly SpillStepEvent[], by = 'A.'): Entry[] {
  const all = [...book];
  for (let round = 0; round < 2; round++) {
    const wanted = entriesFor({ id: spill, startedAt: START, events }, facts, { all, by, note: 'taken back' });
    for (const { atMs = START, ...each } of wanted) {
      if (all.some(({ id }) => id === each.id)) continue;
      all.push({ ...each, site: 'yard', at: isoTime(atMs), photos: [] } as unknown as Entry);
    }
  }
  return all;
}
const standing = (book: readonly Entry[]) =>
  stepsFrom(eventsIn(book, spill)).map(({ at, is, time }) => `${at} ${is} ${(time - START) / 60_000}`);

describe('two devices on one spill', () => {
  test('what either says of a step stands for both, the earliest time of a placed one', () => {
    const one = written([], [said('placed', 3), said('cannot', 4, 'CB-2')]);
    const both = written(one, [said('placed', 2, 'CB-1', 'B.'), said('gone-past', 5, 'CB-3', 'B.')], 'B.');
    expect(standing(both)).toEqual(['CB-1 placed 2', 'CB-2 cannot 4', 'CB-3 gone-past 5']);
    expect(eventsIn(both, spill)[0].step).toEqual({ at: 'CB-1', control: 'cover', hand: 'here' });
  });

  test('what is taken back on one is taken back on both, until it is said again', () => {
    const one = written([], [said('placed', 3)]);
    const back = written(one, [said('taken-back', 5, 'CB-1', 'B.')], 'B.');
    expect(standing(back)).toEqual([]);
    expect(standing(written(back, [said('placed', 3), said('placed', 7)]))).toEqual(['CB-1 placed 7']);
  });

  test('however often a device writes what it has said, each is in the book once', () => {
    const events = [said('placed', 3), said('taken-back', 4), said('placed', 6)];
    const once = written([], events);
    expect(once.map(({ kind }) => kind)).toEqual(['spill', 'action', 'action', 'correction']);
    expect(written(once, events)).toEqual(once);
    expect(standing(once)).toEqual(['CB-1 placed 6']);
  });

  test('the order in which entries come does not matter, and other spills say nothing', () => {
    const book = written(written([], [said('placed', 3), said('cannot', 4, 'CB-2')]), [said('taken-back', 6)], 'B.');
    const order = fc.shuffledSubarray(book, { minLength: book.length, maxLength: book.length });
    fc.assert(
      fc.property(order, (mixed) => {
        expect(standing(mixed)).toEqual(standing(book));
      }),
    );
    expect(eventsIn(book, uuidV7(START + 1, new Uint8Array(10)))).toEqual([]);
  });

  test('a spill stands until a correction strikes it', () => {
    const book = written([], []);
    expect(standingOf(book, spill)).toEqual([spill]);
    const struck = {
      ...book[0],
      id: uuidV7(START + 9, new Uint8Array(10)),
      kind: 'correction',
      body: { corrects: spill },
    };
    expect(standingOf([...book, struck as unknown as Entry], spill)).toEqual([]);
  });
});
