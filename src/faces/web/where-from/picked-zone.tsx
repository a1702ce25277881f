import { ActSign } from '../../../drawing/index.ts';
import { formatArea, formatMoney, formatShare } from '../../../units/index.ts';
import { doNothingSentence, planSentences } from '../../../words/index.ts';
import { Drains } from '../parts/drains.tsx';
import { ACTIVITY_WORDS } from '../parts/kind-words.ts';
import { StandHere } from '../parts/standing.tsx';
import { ask, block, zoneOf } from '../state/picked.ts';
import { currency, units } from '../state/yard.ts';

/** What a picked zone is, and what to do about a spill there. `main` is its chance of being the main source, `why` what made it so. */
export function PickedZone({ id, main, why }: { id: string; main: number | null; why: string | null }) {
  const zone = zoneOf(id);
  if (!zone) return null;
  const { activity, surface } = zone.properties;
  const inlets = zone.inlets.map(({ to, share }) => (share < 0.995 ? `${to} (${formatShare(share)})` : to));
  const facts = [
    `${ACTIVITY_WORDS[activity]}${surface ? ` on ${surface}` : ''}, ${formatArea(zone.areaM2, units.value)}`,
    inlets.length > 0 ? `drains to ${inlets.join(' and ')}` : 'drains nowhere on this map',
    main === null ? null : `main source with a chance of ${formatShare(main)}`,
  ];
  return (
    <div class="picked-zone">
      {why && <p class="why">{why}</p>}
      <p>{`${facts.filter(Boolean).join('; ')}.`}</p>
      <Drains />
      <SpillThere id={id} />
      <StandHere id={id} />
    </div>
  );
}

function SpillThere({ id }: { id: string }) {
  const answer = block.value?.zone === id ? block.value.answer : null;
  if (!answer) return null;
  const money = (amount: number) => formatMoney(amount, currency.value);
  const [order] = planSentences(answer, money);
  return (
    <button type="button" class="action small" onClick={() => ask('block')}>
      <ActSign />
      <span>
        <strong>{`A spill here: ${order.charAt(0).toLowerCase()}${order.slice(1)}`}</strong>
        <span>{doNothingSentence(answer, money)} Show where to block.</span>
      </span>
    </button>
  );
}
