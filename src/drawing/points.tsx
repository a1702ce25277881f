import type { DrawnYard } from './drawn.ts';
import { type Flat, toPixels } from './flat.ts';
import { markSize, NAMED_FROM } from './mark-size.ts';
import { Mark } from './marks.tsx';

const shift = ([x, y]: Flat, size: number) => `translate(${x.toFixed(1)} ${y.toFixed(1)}) scale(${size.toFixed(2)})`;

/** Structures and, where there is room, kits and crew posts, each with its mark at a size that does not follow the map. */
export function Points({ flat, transform, voice }: DrawnYard) {
  const size = markSize(flat, transform);
  return (
    <g class="points">
      {flat.others.map(({ id, kind, name, at }) =>
        at === null || size < NAMED_FROM ? null : (
          <g key={id} transform={shift(toPixels(transform, at), size)} data-pick={id}>
            <title>{name ?? id}</title>
            <Mark kind={kind} />
          </g>
        ),
      )}
      {flat.structures.map(({ structure, at }) => (
        <g key={structure.id} transform={shift(toPixels(transform, at), size)} data-pick={structure.id}>
          <title>
            {structure.name === structure.id
              ? structure.id
              : voice.say('drawing.structure', { id: structure.id, name: structure.name })}
          </title>
          <circle class="reach" r="14" />
          <Mark kind={structure.kind} />
        </g>
      ))}
    </g>
  );
}
