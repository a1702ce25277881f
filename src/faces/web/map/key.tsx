import { computed } from '@preact/signals';
import { ActSign, HereSign, KitSign, MarkInText, MeasureSign, RAMP_FROM } from '../../../drawing/index.ts';
import { sources } from '../state/finding.ts';
import { isPathShown, question, ways } from '../state/picked.ts';
import { planPart } from '../state/plan.ts';
import { say, voice } from '../state/voice.ts';
import { walkerPlace } from '../state/walker-place.ts';
import { unprotected, yard } from '../state/yard.ts';

const kindsHere = computed(() => [...new Set(yard.value?.map.structures.map(({ kind }) => kind) ?? [])]);
const othersHere = computed(() => {
  const kinds = new Set(yard.value?.map.others.map(({ properties }) => properties.kind) ?? []);
  return (['kit', 'crew', 'fuel-stop', 'pump-switch', 'diverter'] as const).filter((kind) => kinds.has(kind));
});

/** What the shading and the marks mean. */
export function Key() {
  return (
    <details class="key">
      <summary>{say('map-screen.key')}</summary>
      <Shading />
      <ul>
        {question.value === 'from' && (sources.value?.groups.length ?? 0) > 0 && (
          <li>
            <Swatch look="hatch-swatch" /> {say('map-screen.same-hatch')}
          </li>
        )}
        {unprotected.value.size > 0 && (
          <li>
            <Swatch look="round-swatch" /> {say('map-screen.goes-round')}
          </li>
        )}
        <li>
          <Swatch look="pipe-swatch" /> {say('map-screen.pipe-flow')}
        </li>
        {ways.value && (
          <>
            <li>
              <Swatch look="up-swatch" /> {say('map-screen.drains-to-picked')}
            </li>
            <li>
              <Swatch look="down-swatch" /> {say('map-screen.drains-on')}
            </li>
          </>
        )}
        {isPathShown.value && (
          <li>
            <Swatch look="way-swatch" /> {say('map-screen.oil-way')}
          </li>
        )}
        {isPathShown.value && (
          <li>
            <ActSign /> {say('map-screen.block-here')}
          </li>
        )}
        {question.value === 'kits' && planPart.value === 'kits' && (
          <>
            <li>
              <KitSign letter="A" isStanding={false} /> {say('map-screen.new-kit')}
            </li>
            <li>
              <KitSign letter="B" isStanding /> {say('map-screen.standing-kit')}
            </li>
          </>
        )}
        {question.value === 'kits' && planPart.value === 'measures' && (
          <li>
            <MeasureSign number={1} /> {say('map-screen.measure')}
          </li>
        )}
        {walkerPlace.value !== null && (
          <li>
            <HereSign /> {say('map-screen.you')}
          </li>
        )}
        {kindsHere.value.map((kind) => (
          <li key={kind}>
            <MarkInText kind={kind} /> {say(`things.kind-${kind}`)}
          </li>
        ))}
        {othersHere.value.map((kind) => (
          <li key={kind}>
            <MarkInText kind={kind} /> {say(`things.kind-${kind}`)}
          </li>
        ))}
      </ul>
    </details>
  );
}

export function Shading() {
  if (question.value !== 'from') return null;
  return (
    <div class="shading">
      <span>{say('map-screen.share-of-oil')}</span>
      <ol>
        {RAMP_FROM.map((from, at) => (
          <li key={from} class={`ramp-${at + 1}`}>
            {rampWords(at)}
          </li>
        ))}
      </ol>
    </div>
  );
}

/** What a step of the ramp stands for: the first and the last with their sign, those between by their number. */
function rampWords(at: number): string {
  if (at === 0) return say('map-screen.ramp-under', { to: { share: RAMP_FROM[1] } });
  if (at === RAMP_FROM.length - 1) return say('map-screen.ramp-up', { from: { share: RAMP_FROM[at] } });
  return voice.value.number(100 * RAMP_FROM[at]);
}

function Swatch({ look }: { look: string }) {
  return (
    <svg class={`swatch ${look}`} viewBox="0 0 34 20" aria-hidden="true">
      {look === 'hatch-swatch' && <path d="M1 1h32v18h-32zM1 12L12 1M1 19L19 1M9 19L27 1M17 19L33 3M25 19L33 11" />}
      {look === 'round-swatch' && <path d="M1 7H33M1 13H33" />}
      {look === 'pipe-swatch' && <path d="M1 10H33M12 5L18 10L12 15" />}
      {(look === 'up-swatch' || look === 'down-swatch') && <path d="M1 5H33M1 15H33" />}
      {look === 'way-swatch' && <path d="M1 10H33" />}
    </svg>
  );
}
