import type { Fluid } from '../../../site-map/index.ts';
import { chooseSpillZone, fluid, pickedId, spillZone } from '../state/picked.ts';
import { yard } from '../state/yard.ts';
import { FLUID_WORDS } from './kind-words.ts';

/** Where the spill is and what was spilled. Choosing the zone here picks it on the map. */
export function SpillForm() {
  const choose = (id: string) => {
    chooseSpillZone(id);
    pickedId.value = id;
  };
  const spill = (chosen: string) => {
    fluid.value = chosen === '' ? undefined : (chosen as Fluid);
  };
  return (
    <form class="spill" aria-label="The spill" onSubmit={(event) => event.preventDefault()}>
      <h2>The spill</h2>
      <div class="fields">
        <label>
          On
          <select value={spillZone.value ?? ''} onChange={({ currentTarget }) => choose(currentTarget.value)}>
            {yard.value?.map.zones.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </label>
        <label>
          What was spilled
          <select value={fluid.value ?? ''} onChange={({ currentTarget }) => spill(currentTarget.value)}>
            <option value="">not known</option>
            {Object.entries(FLUID_WORDS).map(([key, words]) => (
              <option key={key} value={key}>
                {words}
              </option>
            ))}
          </select>
        </label>
      </div>
    </form>
  );
}
