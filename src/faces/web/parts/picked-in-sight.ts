import type { RefObject } from 'preact';
import { useEffect, useRef } from 'preact/hooks';

/** Brings a row into sight when it has been picked, wherever the picking was done. */
export function usePickedInSight<E extends Element>(isPicked: boolean): RefObject<E | null> {
  const row = useRef<E>(null);
  useEffect(() => {
    if (isPicked) row.current?.scrollIntoView({ block: 'nearest' });
  }, [isPicked]);
  return row;
}
