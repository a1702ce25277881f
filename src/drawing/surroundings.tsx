import type { DrawnYard } from './drawn.ts';
import { pathOf, type Transform } from './flat.ts';
import type { FlatOther } from './flat-yard.ts';
import { areaPath } from './ground.tsx';

const outline = ({ area, path }: FlatOther, transform: Transform): string =>
  area ? areaPath(area, transform) : pathOf(path ?? [], transform);

const ofKind = (others: readonly FlatOther[], kind: FlatOther['kind']) => others.filter((each) => each.kind === kind);

/** The lowest layer: the property, water and the floors of buildings. */
export function Surroundings({ flat, transform }: Pick<DrawnYard, 'flat' | 'transform'>) {
  const lines = ofKind(flat.others, 'property-line');
  return (
    <g class="surroundings">
      {lines.map((line) => line.area && <path key={line.id} class="property" d={outline(line, transform)} />)}
      {ofKind(flat.others, 'water').map((water) => (
        <path
          key={water.id}
          class={water.area ? 'water' : 'stream'}
          d={outline(water, transform)}
          data-pick={water.id}
        />
      ))}
      {ofKind(flat.others, 'building').map((building) => (
        <path key={building.id} class="floor" d={outline(building, transform)} />
      ))}
    </g>
  );
}

/** The property line and walls stand over the shaded ground, so that a roof that is a zone still reads as a building. */
export function Walls({ flat, transform }: Pick<DrawnYard, 'flat' | 'transform'>) {
  return (
    <g class="walls">
      {ofKind(flat.others, 'property-line').map((line) => (
        <path key={line.id} class="property-line" d={outline(line, transform)} />
      ))}
      {ofKind(flat.others, 'building').map((building) => (
        <path key={building.id} class="wall" d={outline(building, transform)} />
      ))}
    </g>
  );
}
