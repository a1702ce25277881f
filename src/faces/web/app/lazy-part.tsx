import { signal } from '@preact/signals';
import type { FunctionComponent } from 'preact';
import { useEffect } from 'preact/hooks';
import { say } from '../state/voice.ts';
import { notice } from '../state/yard.ts';

const parts: (() => Promise<void>)[] = [];

/** A part of the page that the first answer does not need: fetched when it is first wanted on screen, or by `fetchOtherParts`. */
export function lazyPart(load: () => Promise<FunctionComponent>, isWanted = () => true): FunctionComponent {
  const loaded = signal<FunctionComponent | null>(null);
  const fetchPart = async () => {
    try {
      loaded.value ??= await load();
    } catch {
      if (isWanted()) notice.value = notFetched();
    }
  };
  parts.push(fetchPart);
  return function LazyPart() {
    const wanted = isWanted();
    useEffect(() => {
      // One part leads to another, and the network may go.
      if (wanted) void fetchPart().then(fetchOtherParts);
    }, [wanted]);
    const Part = loaded.value;
    return Part && <Part />;
  };
}

const notFetched = () => ({ title: say('app.part-not-fetched'), rest: say('app.load-again'), problems: [] });

/** Fetches what has not been wanted yet, so that it is there at the first touch, also without a network. */
export const fetchOtherParts = async (): Promise<void> => {
  for (const fetchPart of parts) await fetchPart();
};
