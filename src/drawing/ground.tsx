import type { DrawnYard } from './drawn.ts';
import { pathOf, type Transform } from './flat.ts';
import type { FlatArea } from './flat-yard.ts';
import { hatchFill } from './hatches.tsx';
import { hatchOf, rampStep } from './ramp.ts';

export const areaPath = (area: FlatArea, transform: Transform): string =>
  area.flatMap((rings) => rings.map((ring) => pathOf(ring, transform, true))).join('');

/** The zones, shaded by their share; those that cannot be told apart share a hatch. */
export function Ground({ flat, transform, answer, block, hatchId, voice }: DrawnYard) {
  const shares = new Map(answer?.zones.map((zone) => [zone.id, zone]));
  return (
    <g class="ground">
      {flat.zones.map(({ zone, area }) => {
        const share = shares.get(zone.id)?.share;
        const hatch = hatchOf(answer?.groups ?? [], zone.id);
        const path = areaPath(area, transform);
        return (
          <g key={zone.id} data-pick={zone.id} data-zone={zone.id}>
            <title>
              {share === undefined ? zone.name : voice.say('drawing.zone', { name: zone.name, share: { share } })}
            </title>
            <path
              class={
                share === undefined
                  ? block?.zone === zone.id
                    ? 'zone spilled-on'
                    : 'zone'
                  : `zone ramp-${rampStep(share)}`
              }
              fill-rule="evenodd"
              d={path}
            />
            {hatch > 0 && (
              <path class="hatch" fill={hatchFill(hatchId, hatch, rampStep(share ?? 0))} fill-rule="evenodd" d={path} />
            )}
          </g>
        );
      })}
    </g>
  );
}

/** Edges of the zones. One that goes round every separator wears a double dashed edge. */
export function ZoneEdges({ flat, transform, unprotected }: DrawnYard) {
  const [round, plain] = [true, false].map((goesRound) =>
    flat.zones.filter(({ zone }) => unprotected.has(zone.id) === goesRound),
  );
  return (
    <g class="zone-edges">
      {plain.map(({ zone, area }) => (
        <path key={zone.id} class="zone-edge" d={areaPath(area, transform)} />
      ))}
      {round.map(({ zone, area }) => {
        const path = areaPath(area, transform);
        return (
          <g key={zone.id}>
            <path class="round-outer" d={path} />
            <path class="round-inner" d={path} />
          </g>
        );
      })}
    </g>
  );
}

/** The ground that the spill asked about is on, edged in the colour of its way. */
export function SpillGround({ flat, transform, block }: DrawnYard) {
  const spilled = flat.zones.find(({ zone }) => zone.id === block?.zone);
  return spilled ? <path class="spill-ground" d={areaPath(spilled.area, transform)} /> : null;
}
