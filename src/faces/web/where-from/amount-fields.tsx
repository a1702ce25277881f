import { useState } from 'preact/hooks';
import { LITRES_PER_GALLON, METRES_PER_FOOT, MM_PER_INCH } from '../../../units/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { NumberField } from '../parts/number-field.tsx';
import { changeFinding } from '../state/finding.ts';
import { units } from '../state/yard.ts';
import { appearanceOf, LOOKS, measuredBy, shareOf, withShare } from './amount-forms.ts';

type Amount = NonNullable<FindingSource['amount']>;
interface Fields {
  amount: Amount;
  isUs: boolean;
  change: (amount: Amount) => void;
}

const KG_PER_POUND = 0.45359237;

/** The fields of an amount, in the site's units, for the way it was measured. */
export function AmountFields({ finding, amount }: { finding: FindingSource; amount: Amount }) {
  const fields: Fields = {
    amount,
    isUs: units.value === 'us',
    change: (changed) => changeFinding(finding.id, { amount: changed }),
  };
  switch (measuredBy(amount)) {
    case 'thickness':
      return <ThicknessFields {...fields} />;
    case 'appearance':
      return <AppearanceFields {...fields} />;
    case 'socks':
      return <SockFields {...fields} />;
    default:
      return <LitreField {...fields} />;
  }
}

/** A change of one number of an amount; an empty optional one is taken out. */
const setter =
  ({ amount, change }: Fields, key: string) =>
  (value: number | undefined) =>
    change({ ...amount, [key]: value } as Amount);

function LitreField(fields: Fields) {
  return (
    <NumberField
      label={fields.isUs ? 'Gallons' : 'Litres'}
      value={fields.amount.litres as number}
      perUnit={fields.isUs ? LITRES_PER_GALLON : 1}
      onNumber={setter(fields, 'litres')}
    />
  );
}

function AreaField(fields: Fields) {
  return (
    <NumberField
      label={fields.isUs ? 'Area, ft²' : 'Area, m²'}
      value={fields.amount.areaM2 as number}
      perUnit={fields.isUs ? METRES_PER_FOOT ** 2 : 1}
      isPositive
      onNumber={setter(fields, 'areaM2')}
    />
  );
}

function ThicknessFields(fields: Fields) {
  return (
    <>
      <NumberField
        label={fields.isUs ? 'Thickness, in' : 'Thickness, mm'}
        value={fields.amount.thicknessMm as number}
        perUnit={fields.isUs ? MM_PER_INCH : 1}
        onNumber={setter(fields, 'thicknessMm')}
      />
      <AreaField {...fields} />
    </>
  );
}

function AppearanceFields(fields: Fields) {
  const { amount, change } = fields;
  const [isOver, setOver] = useState(false);
  const appearance = appearanceOf(amount);
  const cover = (code: number, percent: number) => {
    const changed = withShare(appearance, code, percent / 100);
    setOver(changed === null);
    if (changed) change({ ...amount, appearance: changed } as Amount);
  };
  return (
    <>
      <AreaField {...fields} />
      <fieldset class="wide looks">
        <legend>How much of that area has each look, %</legend>
        {LOOKS.map(({ code, words }) => (
          <NumberField
            key={code}
            label={words}
            value={shareOf(appearance, code) * 100}
            most={100}
            onNumber={(percent) => cover(code, percent ?? 0)}
          />
        ))}
        {isOver && (
          <p class="hint">Together the looks cover more than all of it. Until they fit, the last answer stands.</p>
        )}
      </fieldset>
    </>
  );
}

function SockFields(fields: Fields) {
  return (
    <>
      <NumberField label="Soaked socks" value={fields.amount.socks as number} onNumber={setter(fields, 'socks')} />
      <NumberField
        label={fields.isUs ? 'Oil in each, lb, if weighed' : 'Oil in each, kg, if weighed'}
        value={fields.amount.kgEach as number | undefined}
        perUnit={fields.isUs ? KG_PER_POUND : 1}
        isOptional
        isPositive
        onNumber={setter(fields, 'kgEach')}
      />
    </>
  );
}
