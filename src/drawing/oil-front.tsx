import type { SpillWay } from '../spill/index.ts';
import type { DrawnYard } from './drawn.ts';
import { pathOf } from './flat.ts';
import { likelyWays } from './likely-ways.ts';

/** How far oil has likely come along each link while a spill's clock runs. */
export function OilFront({ flat, transform, block, timer }: DrawnYard) {
  if (!timer.isOn || !block?.spill) return null;
  const paths = new Map(flat.links.map(({ link, path }) => [link.id, path]));
  const { heldTo } = timer;
  const ways = likelyWays(block.spill, flat.links).filter(({ id }) => heldTo === null || heldTo.includes(id));
  return (
    <g class="oil-front">
      {ways.map((way) => {
        const path = paths.get(way.id);
        return path && <Way key={way.id} way={way} drawn={pathOf(path, transform)} part={timer.part} />;
      })}
    </g>
  );
}

/** Redraws itself as time goes by, so that the yard around it need not. */
function Way({ way, drawn, part }: { way: SpillWay; drawn: string; part: (way: SpillWay) => number }) {
  const reached = part(way);
  if (reached <= 0) return null;
  return <path class="front-way" d={drawn} pathLength="1" stroke-dasharray={`${reached.toFixed(4)} 2`} />;
}
