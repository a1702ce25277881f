import type { FindingSource } from '../compute/protocol.ts';
import { aboutWords } from '../parts/finding-words.ts';
import { changeFinding, factorOf, litresOf } from '../state/finding.ts';
import { structureOf } from '../state/picked.ts';
import { units, yard } from '../state/yard.ts';
import { AmountFields } from './amount-fields.tsx';
import { type MeasuredBy, measuredBy, startAmount } from './amount-forms.ts';

/** What was seen: clean, oily, or how much, measured in whichever way. */
export function WhatSeen({ finding }: { finding: FindingSource }) {
  const { id, at, amount } = finding;
  const isGround = structureOf(at) === undefined;
  const holdsNothing = isGround || yard.value?.holds[at] === 0;
  const see = (what: string) =>
    changeFinding(
      id,
      what === 'amount'
        ? { seen: undefined, amount: startAmount('litres', litresOf(finding), null) }
        : { seen: what as 'clean' | 'oil', amount: undefined },
    );
  const measure = (by: MeasuredBy) => changeFinding(id, { amount: startAmount(by, litresOf(finding), planArea(at)) });
  return (
    <>
      <label>
        What was seen
        <select value={amount ? 'amount' : finding.seen} onChange={({ currentTarget }) => see(currentTarget.value)}>
          <option value="clean">clean</option>
          <option value="oil">an oily look</option>
          <option value="amount" disabled={holdsNothing}>
            an amount
          </option>
        </select>
      </label>
      {amount && (
        <label>
          Measured how?
          <select
            value={measuredBy(amount)}
            onChange={({ currentTarget }) => measure(currentTarget.value as MeasuredBy)}
          >
            <option value="litres">{units.value === 'us' ? 'gallons' : 'litres'}</option>
            <option value="thickness">thickness and area</option>
            <option value="appearance">look of the film</option>
            <option value="socks">soaked socks</option>
          </select>
        </label>
      )}
      {amount && <AmountFields key={`${measuredBy(amount)} ${units.value}`} finding={finding} amount={amount} />}
      {amount && measuredBy(amount) !== 'litres' && <Worth finding={finding} />}
      {holdsNothing && (
        <p class="hint wide">
          {isGround
            ? 'On open ground nothing is held, so only a look counts.'
            : `${at} keeps no oil back, so only a look counts.`}
        </p>
      )}
    </>
  );
}

/** What an amount comes to in litres or gallons. */
function Worth({ finding }: { finding: FindingSource }) {
  const [litres, factor] = [litresOf(finding), factorOf(finding)];
  if (litres === null || factor === null) return null;
  return <p class="hint wide worth">{aboutWords(litres, factor, units.value)}</p>;
}

/** Plan area of a structure, m², where the map states its length and width. */
function planArea(id: string): number | null {
  const { lengthM, widthM } = (structureOf(id)?.properties ?? {}) as { lengthM?: number; widthM?: number };
  return lengthM && widthM ? lengthM * widthM : null;
}
