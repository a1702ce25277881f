import type { ComponentChildren } from 'preact';

/** A text in which a short id with a hyphen, such as OUT-1, stays on one line. */
export function keepIds(text: string): ComponentChildren {
  return text.split(/(\S{1,10}-\S{1,10})/).map((part, at) => (at % 2 === 1 ? <span class="kept">{part}</span> : part));
}
