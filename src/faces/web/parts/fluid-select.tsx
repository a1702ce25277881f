import { FLUIDS, type Fluid } from '../../../site-map/index.ts';
import { say } from '../state/voice.ts';

/** Chooses a fluid, or that it is not known: `unknown` says so where no label stands beside it. */
export function FluidSelect({
  label,
  unknown,
  fluid,
  onChange,
}: {
  label: string;
  unknown?: string;
  fluid: Fluid | undefined;
  onChange: (fluid: Fluid | undefined) => void;
}) {
  return (
    <label>
      <span class={unknown ? 'unseen' : undefined}>{label}</span>
      <select
        value={fluid ?? ''}
        onChange={({ currentTarget: { value } }) => onChange(FLUIDS.find((each) => each === value))}
      >
        <option value="">{unknown ?? say('parts.fluid-unknown')}</option>
        {FLUIDS.map((each) => (
          <option key={each} value={each}>
            {say(`things.fluid-${each}`)}
          </option>
        ))}
      </select>
    </label>
  );
}
