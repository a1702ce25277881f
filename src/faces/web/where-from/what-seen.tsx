import { planAreaOf } from '../../../site-map/index.ts';
import { isSeen, type Seen } from '../../../sources/index.ts';
import { saidWords } from '../../../words/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { aboutWords } from '../parts/finding-words.ts';
import { changeFinding, factorOf, litresOf } from '../state/finding.ts';
import { structureOf } from '../state/picked.ts';
import { units, yard } from '../state/yard.ts';
import { AmountFields } from './amount-fields.tsx';
import { isMeasuredBy, type MeasuredBy, measuredBy, startAmount } from './amount-forms.ts';

/** Looks that can be chosen here. */
const OFFERED: readonly Seen[] = ['clean', 'oil'];

/** What was seen: clean, oily, or how much, measured in whichever way. */
export function WhatSeen({ finding }: { finding: FindingSource }) {
  const { id, at, amount } = finding;
  const isGround = structureOf(at) === undefined;
  const holdsNothing = isGround || yard.value?.holds[at] === 0;
  const see = (what: string) => {
    if (what === 'amount') measure('litres', null);
    else if (isSeen(what)) changeFinding(id, { says: { seen: what } });
  };
  const measure = (by: MeasuredBy, areaM2: number | null) =>
    changeFinding(id, { says: { amount: startAmount(by, litresOf(finding), areaM2) } });
  // Words that are not offered here stand in the list where a file or the log book has them.
  const own = finding.seen !== undefined && !OFFERED.includes(finding.seen) ? saidWords(finding) : null;
  return (
    <>
      <label>
        What was seen
        <select
          value={own ?? (amount ? 'amount' : finding.seen)}
          onChange={({ currentTarget }) => see(currentTarget.value)}
        >
          <option value="clean">clean</option>
          <option value="oil">an oily look</option>
          <option value="amount" disabled={holdsNothing}>
            an amount
          </option>
          {own !== null && (
            <option value={own} disabled>
              {own}
            </option>
          )}
        </select>
      </label>
      {amount && (
        <label>
          Measured how?
          <select
            value={measuredBy(amount)}
            onChange={({ currentTarget }) =>
              isMeasuredBy(currentTarget.value) && measure(currentTarget.value, planAreaOf(structureOf(at)))
            }
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
