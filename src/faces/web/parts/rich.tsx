import { type ComponentChildren, type ComponentType, h } from 'preact';
import type { PageKey, ValuesOf } from '../../../catalogue/index.ts';
import { voice } from '../state/voice.ts';

/**
 * A message whose tags set parts of it off: `as` has for each tag what is drawn round its text, an element's name or a component
 * (`<Rich as={{ b: 'strong' }} of={['spill-screen.cover', { at }]} />`).
 */
export function Rich<K extends PageKey>({
  of: [key, ...values],
  as,
}: {
  of: [key: K, ...values: ValuesOf<K>];
  as: Readonly<Record<string, ComponentType | string>>;
}) {
  return (
    <>
      {voice.value.parts(key, ...values).map(({ text, tag }, at) => {
        const Around = tag === undefined ? undefined : as[tag];
        // The pieces of one message keep their places.
        return Around === undefined ? text : h(Around, { key: at }, text);
      })}
    </>
  );
}

/** A message in which each tag stands for something drawn. */
export function Filled<K extends PageKey>({
  of: [key, ...values],
  slots,
}: {
  of: [key: K, ...values: ValuesOf<K>];
  slots: Readonly<Record<string, ComponentChildren>>;
}) {
  return <>{voice.value.parts(key, ...values).map(({ text, tag }) => (tag === undefined ? text : slots[tag]))}</>;
}
