import { planAreaOf } from '../../../site-map/index.ts';
import { isSeen, type Seen } from '../../../sources/index.ts';
import { saidWords } from '../../../words/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { aboutWords } from '../parts/finding-words.ts';
import { changeFinding, factorOf, litresOf } from '../state/finding.ts';
import { structureOf } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';
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
  const own = finding.seen !== undefined && !OFFERED.includes(finding.seen) ? saidWords(finding, voice.value) : null;
  return (
    <>
      <label>
        {say('where-from.what-seen')}
        <select
          value={own ?? (amount ? 'amount' : finding.seen)}
          onChange={({ currentTarget }) => see(currentTarget.value)}
        >
          <option value="clean">{say('where-from.seen-clean')}</option>
          <option value="oil">{say('where-from.seen-oily')}</option>
          <option value="amount" disabled={holdsNothing}>
            {say('where-from.seen-amount')}
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
          {say('where-from.measured-how')}
          <select
            value={measuredBy(amount)}
            onChange={({ currentTarget }) =>
              isMeasuredBy(currentTarget.value) && measure(currentTarget.value, planAreaOf(structureOf(at)))
            }
          >
            <option value="litres">
              {say(units.value === 'us' ? 'where-from.by-gallons' : 'where-from.by-litres')}
            </option>
            <option value="thickness">{say('where-from.by-thickness')}</option>
            <option value="appearance">{say('where-from.by-look')}</option>
            <option value="socks">{say('where-from.by-socks')}</option>
          </select>
        </label>
      )}
      {amount && <AmountFields key={`${measuredBy(amount)} ${units.value}`} finding={finding} amount={amount} />}
      {amount && measuredBy(amount) !== 'litres' && <Worth finding={finding} />}
      {holdsNothing && (
        <p class="hint wide">
          {isGround ? say('where-from.only-look-on-ground') : say('where-from.only-look', { at })}
        </p>
      )}
    </>
  );
}

/** What an amount comes to in litres or gallons. */
function Worth({ finding }: { finding: FindingSource }) {
  const [litres, factor] = [litresOf(finding), factorOf(finding)];
  if (litres === null || factor === null) return null;
  return <p class="hint wide worth">{aboutWords(litres, factor)}</p>;
}
