import { useState } from 'preact/hooks';
import type { BlockAnswer } from '../../../block/index.ts';
import { ActSign } from '../../../drawing/index.ts';
import { pick, pickedId } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';
import { orderWords } from './order-words.ts';

const SHOWN_FIRST = 8;

type Single = BlockAnswer['singles'][number];

/** When it can be in place, and what it then still keeps. */
const whenWords = ({ inStock, crewMinutes, keepsLitres }: Single): string => {
  if (!inStock) return say('spill-screen.not-in-kits');
  const keeps = { kept: { litres: keepsLitres } };
  return crewMinutes === null
    ? say('spill-screen.keeps', keeps)
    : say('spill-screen.keeps-in', { ...keeps, minutes: Math.ceil(crewMinutes) });
};

const watersWords = ({ waters }: Single) =>
  waters.length > 0 ? say('spill-screen.gets-to', { waters: { list: waters } }) : say('spill-screen.keeps-all-out');

/** Every control alone, what keeps most first, with what it lets through. */
export function Singles({ answer: { singles, plan } }: { answer: BlockAnswer }) {
  const [isWhole, setWhole] = useState(false);
  if (singles.length === 0) return null;
  const isPlanned = (single: Single) =>
    plan.controls.some(({ at, control }) => at === single.at && control === single.control);
  return (
    <section aria-labelledby="singles">
      <h2 id="singles">{say('spill-screen.one-alone')}</h2>
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
              <strong>{voice.value.text({ litres: single.keepsLitres })}</strong>
              <span class="lets-through">
                {whenWords(single)}; {watersWords(single)}
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
