import { useState } from 'preact/hooks';
import type { Amount } from '../../../sources/index.ts';
import { LITRES_PER_GALLON, METRES_PER_FOOT, MM_PER_INCH } from '../../../units/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { NumberField } from '../parts/number-field.tsx';
import { changeFinding } from '../state/finding.ts';
import { units } from '../state/yard.ts';
import { LOOKS, shareOf, withShare } from './amount-forms.ts';

/** What the fields of one form of amount are given. */
interface Fields<Form extends Amount> {
  amount: Form;
  isUs: boolean;
  change: (amount: Form) => void;
}

const KG_PER_POUND = 0.45359237;

/** The fields of an amount, in the site's units, for the way it was measured. */
export function AmountFields({ finding, amount }: { finding: FindingSource; amount: Amount }) {
  const isUs = units.value === 'us';
  const change = (changed: Amount) => changeFinding(finding.id, { says: { amount: changed } });
  if (amount.litres !== undefined) return <LitreField {...{ amount, isUs, change }} />;
  if (amount.thicknessMm !== undefined) return <ThicknessFields {...{ amount, isUs, change }} />;
  if (amount.appearance !== undefined) return <AppearanceFields {...{ amount, isUs, change }} />;
  return <SockFields {...{ amount, isUs, change }} />;
}

function LitreField({ amount, isUs, change }: Fields<Extract<Amount, { litres: number }>>) {
  return (
    <NumberField
      label={isUs ? 'Gallons' : 'Litres'}
      value={amount.litres}
      perUnit={isUs ? LITRES_PER_GALLON : 1}
      onNumber={(litres = 0) => change({ ...amount, litres })}
    />
  );
}

function AreaField({ areaM2, isUs, change }: { areaM2: number; isUs: boolean; change: (areaM2: number) => void }) {
  return (
    <NumberField
      label={isUs ? 'Area, ft²' : 'Area, m²'}
      value={areaM2}
      perUnit={isUs ? METRES_PER_FOOT ** 2 : 1}
      isPositive
      onNumber={(value) => value !== undefined && change(value)}
    />
  );
}

function ThicknessFields({ amount, isUs, change }: Fields<Extract<Amount, { thicknessMm: number }>>) {
  return (
    <>
      <NumberField
        label={isUs ? 'Thickness, in' : 'Thickness, mm'}
        value={amount.thicknessMm}
        perUnit={isUs ? MM_PER_INCH : 1}
        onNumber={(thicknessMm = 0) => change({ ...amount, thicknessMm })}
      />
      <AreaField areaM2={amount.areaM2} isUs={isUs} change={(areaM2) => change({ ...amount, areaM2 })} />
    </>
  );
}

function AppearanceFields({ amount, isUs, change }: Fields<Extract<Amount, { appearance: unknown[] }>>) {
  const [isOver, setOver] = useState(false);
  const { appearance } = amount;
  const cover = (code: number, percent: number) => {
    const changed = withShare(appearance, code, percent / 100);
    setOver(changed === null);
    if (changed) change({ ...amount, appearance: changed });
  };
  return (
    <>
      <AreaField areaM2={amount.areaM2} isUs={isUs} change={(areaM2) => change({ ...amount, areaM2 })} />
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

function SockFields({ amount, isUs, change }: Fields<Extract<Amount, { socks: number }>>) {
  return (
    <>
      <NumberField label="Soaked socks" value={amount.socks} onNumber={(socks = 0) => change({ ...amount, socks })} />
      <NumberField
        label={isUs ? 'Oil in each, lb, if weighed' : 'Oil in each, kg, if weighed'}
        value={amount.kgEach}
        perUnit={isUs ? KG_PER_POUND : 1}
        isOptional
        isPositive
        onNumber={(kgEach) => change({ ...amount, kgEach })}
      />
    </>
  );
}
