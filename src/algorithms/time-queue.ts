/** A queue that gives back the number with the least time first: a binary heap. Push and pop are O(log entries). */
export class TimeQueue {
  private readonly times: number[] = [];
  private readonly items: number[] = [];

  get size(): number {
    return this.items.length;
  }

  push(item: number, time: number): void {
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
  pop(): { item: number; time: number } | undefined {
    const { times, items } = this;
    if (items.length === 0) return undefined;
    const first = { item: items[0], time: times[0] };
    const [item, time] = [items.pop() as number, times.pop() as number];
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
    if (size > 0) {
      times[at] = time;
      items[at] = item;
    }
    return first;
  }
}
