import { useState } from 'preact/hooks';
import type { BlockAnswer } from '../../../block/index.ts';
import { ActSign } from '../../../drawing/index.ts';
import { pick, pickedId } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';
import { orderWords } from './order-words.ts';

const SHOWN_FIRST = 8;

type Single = BlockAnswer['singles'][number];

/** "3 min to spare", "5 min late"; empty while time is not counted. */
function spareWords({ inStock, spareMinutes }: Single): string {
  if (!inStock) return say('spill-screen.not-in-kits');
  if (spareMinutes === null) return '';
  return spareMinutes >= 0
    ? say('spill-screen.to-spare', { minutes: Math.floor(spareMinutes) })
    : say('spill-screen.late', { minutes: Math.ceil(-spareMinutes) });
}

const savesWords = ({ saves }: Single) =>
  saves > 0 ? say('spill-screen.saves', { money: { money: saves } }) : say('spill-screen.saves-nothing');

const watersWords = ({ waters }: Single) =>
  waters.length > 0 ? say('spill-screen.gets-to', { waters: { list: waters } }) : say('spill-screen.keeps-all-out');

/** Every control alone, cheapest total first, with what it lets through. */
export function Singles({ answer: { singles, plan } }: { answer: BlockAnswer }) {
  const [isWhole, setWhole] = useState(false);
  if (singles.length === 0) return null;
  const isPlanned = (single: BlockAnswer['singles'][number]) =>
    plan.controls.some(({ at, control }) => at === single.at && control === single.control);
  return (
    <section aria-labelledby="singles">
      <h2 id="singles">{say('spill-screen.one-alone')}</h2>
      <p class="hint">{say('spill-screen.alone-total')}</p>
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
              <strong>{voice.value.text({ money: single.totalCost })}</strong>
              <span class="lets-through">
                {[spareWords(single), savesWords(single), watersWords(single)].filter(Boolean).join('; ')}
              </span>
            </button>
          </li>
        ))}
      </ol>
      {singles.length > SHOWN_FIRST && (
        <button type="button" class="more" onClick={() => setWhole(!isWhole)}>
          {isWhole ? say('app.show-first', { count: SHOWN_FIRST }) : say('app.show-all', { count: singles.length })}
        </button>
      )}
    </section>
  );
}
