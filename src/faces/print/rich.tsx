import { type ComponentChildren, h } from 'preact';
import type { Part } from '../../catalogue/index.ts';

/** A message with its tags as elements of the page; `as` draws the texts in it. */
export const rich = (parts: readonly Part[], as: (text: string) => ComponentChildren = (text) => text) =>
  parts.map(({ text, tag }) => (tag === undefined ? as(text) : h(tag, {}, as(text))));
