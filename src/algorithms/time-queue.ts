/** A queue that gives back the number with the least time first: a binary heap. Push and pop are O(log entries). */
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
