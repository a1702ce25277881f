import { chooseSpillZone, fluid, pickedId, spillZone } from '../state/picked.ts';
import { yard } from '../state/yard.ts';
import { FluidSelect } from './fluid-select.tsx';

/** Where the spill is and what was spilled. Choosing the zone here picks it on the map. */
export function SpillForm() {
  const choose = (id: string) => {
    chooseSpillZone(id);
    pickedId.value = id;
  };
  const spill = (chosen: typeof fluid.value) => {
    fluid.value = chosen;
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
        <FluidSelect label="What was spilled" fluid={fluid.value} onChange={spill} />
      </div>
    </form>
  );
}
