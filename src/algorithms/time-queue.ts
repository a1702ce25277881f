/**
 * A queue that gives back the number with the least time first: a binary heap (Williams 1964, Communications of the ACM
 * 7(6), 347). Push and pop are O(log entries). The same number may be in it several times, so who finds an earlier time
 * for one pushes it again, and passes over the later entry when it comes out. Which of equal times comes first is not
 * said, but the same pushes and pops always give the same. Times may be infinite, not NaN.
 *
 * The entry at place p is never later than those at 2p + 1 and 2p + 2; both methods move a hole along one way of that
 * tree until the entry that is put there keeps this true.
 *
 * @example
 * import { TimeQueue } from 'oilshed/algorithms';
 * const queue = new TimeQueue();
 * queue.push(7, 30);
 * queue.push(8, 10);
 * queue.pop(); // → { item: 8, time: 10 }
 */
export class TimeQueue<Item extends number = number> {
  private readonly times: number[] = [];
  private readonly items: Item[] = [];

  get size(): number {
    return this.items.length;
  }

  push(item: Item, time: number): void {
    const { times, items } = this;
    let at = items.length;
    while (at > 0) {
      const above = (at - 1) >> 1;
      if (times[above] <= time) break;
      times[at] = times[above];
      items[at] = items[above];
      at = above;
    }
    times[at] = time;
    items[at] = item;
  }

  /** The item with the least time, and that time; undefined when empty. */
  pop(): { item: Item; time: number } | undefined {
    const { times, items } = this;
    const [item, time] = [items.pop(), times.pop()];
    if (item === undefined || time === undefined) return undefined;
    if (items.length === 0) return { item, time };
    const first = { item: items[0], time: times[0] };
    const size = items.length;
    let at = 0;
    while (2 * at + 1 < size) {
      const left = 2 * at + 1;
      const below = left + 1 < size && times[left + 1] < times[left] ? left + 1 : left;
      if (times[below] >= time) break;
      times[at] = times[below];
      items[at] = items[below];
      at = below;
    }
    times[at] = time;
    items[at] = item;
    return first;
  }
}
