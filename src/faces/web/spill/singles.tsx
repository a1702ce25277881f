import { useState } from 'preact/hooks';
import type { BlockAnswer } from '../../../block/index.ts';
import { ActSign } from '../../../drawing/index.ts';
import { formatMoney } from '../../../units/index.ts';
import { pick, pickedId } from '../state/picked.ts';
import { currency } from '../state/yard.ts';
import { orderWords } from './order-words.ts';

const SHOWN_FIRST = 8;

type Single = BlockAnswer['singles'][number];

/** "3 min to spare", "5 min late"; empty while time is not counted. */
function spareWords({ inStock, spareMinutes }: Single): string {
  if (!inStock) return 'no kit has one';
  if (spareMinutes === null) return '';
  return spareMinutes >= 0 ? `${Math.floor(spareMinutes)} min to spare` : `${Math.ceil(-spareMinutes)} min late`;
}

const savesWords = ({ saves }: Single) => (saves > 0 ? `saves ${formatMoney(saves, currency.value)}` : 'saves nothing');

const watersWords = ({ waters }: Single) =>
  waters.length > 0 ? `oil gets to ${waters.join(', ')}` : 'keeps oil out of every outfall';

/** Every control alone, cheapest total first, with what it lets through. */
export function Singles({ answer: { singles, plan } }: { answer: BlockAnswer }) {
  const [isWhole, setWhole] = useState(false);
  if (singles.length === 0) return null;
  const isPlanned = (single: BlockAnswer['singles'][number]) =>
    plan.controls.some(({ at, control }) => at === single.at && control === single.control);
  return (
    <section aria-labelledby="singles">
      <h2 id="singles">One control alone</h2>
      <p class="hint">The total is the control and the cleaning of all that oil still gets into.</p>
      <ol class="singles">
        {singles.slice(0, isWhole ? undefined : SHOWN_FIRST).map((single) => (
          <li key={`${single.at} ${single.control}`}>
            <button
              type="button"
              class="single-row"
              data-row={single.at}
              aria-pressed={pickedId.value === single.at}
              onClick={() => pick(single.at)}
            >
              {isPlanned(single) ? <ActSign /> : <span class="sign" />}
              <span>{orderWords(single)}</span>
              <strong>{formatMoney(single.totalCost, currency.value)}</strong>
              <span class="lets-through">
                {[spareWords(single), savesWords(single), watersWords(single)].filter(Boolean).join('; ')}
              </span>
            </button>
          </li>
        ))}
      </ol>
      {singles.length > SHOWN_FIRST && (
        <button type="button" class="more" onClick={() => setWhole(!isWhole)}>
          {isWhole ? `Show the first ${SHOWN_FIRST}` : `Show all ${singles.length}`}
        </button>
      )}
    </section>
  );
}
