import { chevronsAlong } from './chevrons.ts';
import type { DrawnYard } from './drawn.ts';
import { type Flat, pathOf, toPixels } from './flat.ts';

/** Pipes, swales and overland paths with chevrons the way they flow; over them, the way that a spill would take. */
export function Links({ flat, transform, block, voice }: DrawnYard) {
  const taken = new Set(block?.spill?.ways.map(({ id }) => id));
  const stillFouled = new Set(block?.answer?.plan.fouled);
  return (
    <g class="links">
      {flat.links.map(({ link, path }) => {
        const drawn = pathOf(path, transform);
        const pixels = path.map((place): Flat => toPixels(transform, place));
        const way = taken.has(link.id) ? (stillFouled.has(link.id) ? ' oil-way' : ' saved-way') : '';
        return (
          <g key={link.id} class={`link ${link.kind}${way}`} data-pick={link.id}>
            <title>{voice.say('drawing.link', { id: link.id, from: link.from, to: link.to })}</title>
            <path class="link-reach" d={drawn} />
            <path class="link-casing" d={drawn} />
            <path class="link-line" d={drawn} />
            <path class="chevrons" d={chevronsAlong(pixels)} />
          </g>
        );
      })}
    </g>
  );
}
