import { effect } from '@preact/signals';
import { keepWord, keptWord, valueIn } from './device-words.ts';
import { yardMark } from './yard.ts';

/** A part of what is typed about a yard, such as its plan. Every yard has its own. */
interface Part<T> {
  name: string;
  /** All of it as it stands now, to be written as JSON. */
  now(): T;
  /** What was kept, as far as it can be read. */
  take(kept: unknown): void;
}

const restoring: (() => void)[] = [];

/** Takes up what this device keeps of the yard that has just been opened. */
export const takeUpParts = (): void => {
  for (const restore of restoring) restore();
};

const nameOf = (part: string) => `${part} ${yardMark.value}`;

/** Keeps a part on this device with every change, once it differs from what the yard began with. Of two tabs the last writes. */
export function keepPart<T>({ name, now, take }: Part<T>): void {
  let last: string | null = null;
  restoring.push(() => {
    const kept = valueIn(keptWord(nameOf(name)));
    if (kept !== undefined) take(kept);
    last = JSON.stringify(now());
  });
  effect(() => {
    const text = JSON.stringify(now());
    if (last === null || text === last) return;
    last = text;
    keepWord(nameOf(name), text);
  });
}

/** A number that was kept; null for anything else. */
export const numberOf = (kept: unknown): number | null => (typeof kept === 'number' ? kept : null);
