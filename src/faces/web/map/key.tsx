import { computed } from '@preact/signals';
import { ActSign, HereSign, KitSign, MarkInText, MeasureSign, RAMP_FROM } from '../../../drawing/index.ts';
import { STRUCTURE_WORDS } from '../parts/kind-words.ts';
import { sources } from '../state/finding.ts';
import { isPathShown, question, ways } from '../state/picked.ts';
import { planPart } from '../state/plan.ts';
import { standing } from '../state/standing.ts';
import { unprotected, yard } from '../state/yard.ts';

const kindsHere = computed(() => [...new Set(yard.value?.map.structures.map(({ kind }) => kind) ?? [])]);
const othersHere = computed(() => {
  const kinds = new Set(yard.value?.map.others.map(({ properties }) => properties.kind) ?? []);
  return (['kit', 'crew'] as const).filter((kind) => kinds.has(kind));
});

/** What the shading and the marks mean. */
export function Key() {
  return (
    <details class="key">
      <summary>Key</summary>
      <Shading />
      <ul>
        {question.value === 'from' && (sources.value?.groups.length ?? 0) > 0 && (
          <li>
            <Swatch look="hatch-swatch" /> same hatch: cannot be told apart
          </li>
        )}
        {unprotected.value.size > 0 && (
          <li>
            <Swatch look="round-swatch" /> goes round every separator
          </li>
        )}
        <li>
          <Swatch look="pipe-swatch" /> pipe, and which way it flows
        </li>
        {ways.value && (
          <>
            <li>
              <Swatch look="up-swatch" /> broken: drains to what is picked
            </li>
            <li>
              <Swatch look="down-swatch" /> whole: where that drains on to
            </li>
          </>
        )}
        {isPathShown.value && (
          <li>
            <Swatch look="way-swatch" /> way the oil takes; dashed where it is stopped
          </li>
        )}
        {isPathShown.value && (
          <li>
            <ActSign /> block here; in it the minutes until oil is there
          </li>
        )}
        {question.value === 'kits' && planPart.value === 'kits' && (
          <>
            <li>
              <KitSign letter="A" isStanding={false} /> a new kit, and lines to the zones it is nearest to
            </li>
            <li>
              <KitSign letter="B" isStanding /> a kit that stands
            </li>
          </>
        )}
        {question.value === 'kits' && planPart.value === 'measures' && (
          <li>
            <MeasureSign number={1} /> a measure, by its number in the list
          </li>
        )}
        {standing.value !== null && (
          <li>
            <HereSign /> where you are
          </li>
        )}
        {kindsHere.value.map((kind) => (
          <li key={kind}>
            <MarkInText kind={kind} /> {STRUCTURE_WORDS[kind]}
          </li>
        ))}
        {othersHere.value.map((kind) => (
          <li key={kind}>
            <MarkInText kind={kind} /> {kind === 'kit' ? 'spill kit' : 'crew post'}
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
      <span>Share of the oil</span>
      <ol>
        {RAMP_FROM.map((from, at) => (
          <li key={from} class={`ramp-${at + 1}`}>
            {at === 0 ? `under ${RAMP_FROM[1] * 100}` : `${from * 100}${at === RAMP_FROM.length - 1 ? ' % up' : ''}`}
          </li>
        ))}
      </ol>
    </div>
  );
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
