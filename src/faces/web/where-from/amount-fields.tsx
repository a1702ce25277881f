import { useState } from 'preact/hooks';
import type { Amount } from '../../../sources/index.ts';
import { LITRES_PER_GALLON, METRES_PER_FOOT, MM_PER_INCH } from '../../../units/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { NumberField } from '../parts/number-field.tsx';
import { changeFinding } from '../state/finding.ts';
import { say } from '../state/voice.ts';
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
      label={say(isUs ? 'app.gallons' : 'app.litres')}
      value={amount.litres}
      perUnit={isUs ? LITRES_PER_GALLON : 1}
      onNumber={(litres = 0) => change({ ...amount, litres })}
    />
  );
}

function AreaField({ areaM2, isUs, change }: { areaM2: number; isUs: boolean; change: (areaM2: number) => void }) {
  return (
    <NumberField
      label={say(isUs ? 'where-from.area-ft2' : 'where-from.area-m2')}
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
        label={say(isUs ? 'where-from.thickness-in' : 'where-from.thickness-mm')}
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
        <legend>{say('where-from.look-shares')}</legend>
        {LOOKS.map(({ code, look }) => (
          <NumberField
            key={code}
            label={say(`where-from.look-${look}`)}
            value={shareOf(appearance, code) * 100}
            most={100}
            onNumber={(percent) => cover(code, percent ?? 0)}
          />
        ))}
        {isOver && <p class="hint">{say('where-from.looks-over')}</p>}
      </fieldset>
    </>
  );
}

function SockFields({ amount, isUs, change }: Fields<Extract<Amount, { socks: number }>>) {
  return (
    <>
      <NumberField
        label={say('where-from.soaked-socks')}
        value={amount.socks}
        onNumber={(socks = 0) => change({ ...amount, socks })}
      />
      <NumberField
        label={say(isUs ? 'where-from.oil-each-lb' : 'where-from.oil-each-kg')}
        value={amount.kgEach}
        perUnit={isUs ? KG_PER_POUND : 1}
        isOptional
        isPositive
        onNumber={(kgEach) => change({ ...amount, kgEach })}
      />
    </>
  );
}
