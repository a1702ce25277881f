import { told } from '../../../catalogue/index.ts';
import { ActSign } from '../../../drawing/index.ts';
import { doNothingSentence, planSentences } from '../../../words/index.ts';
import { Drains } from '../parts/drains.tsx';
import { WalkFromHere } from '../parts/walker-place.tsx';
import { ask, block, zoneOf } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';

/** What a picked zone is, and what to do about a spill there. `main` is its chance of being the main source, `why` what made it so. */
export function PickedZone({ id, main, why }: { id: string; main: number | null; why: string | null }) {
  const zone = zoneOf(id);
  if (!zone) return null;
  const { activity, surface } = zone.properties;
  const inlets = zone.inlets.map(({ to, share }) =>
    share < 0.995 ? told('where-from.inlet-share', { inlet: to, share: { share } }) : to,
  );
  const ground = { activity: told(`things.activity-${activity}`), area: { squareMetres: zone.areaM2 } };
  const facts = [
    surface
      ? say('where-from.ground-surface', { ...ground, surface: told(`things.surface-${surface}`) })
      : say('where-from.ground', ground),
    inlets.length > 0 ? say('where-from.drains-to', { inlets: { list: inlets } }) : say('where-from.drains-nowhere'),
    ...(main === null ? [] : [say('where-from.main-chance', { chance: { share: main } })]),
  ];
  return (
    <div class="picked-zone">
      {why && <p class="why">{why}</p>}
      <p>{facts.join(' ')}</p>
      <Drains />
      <SpillThere id={id} />
      <WalkFromHere id={id} />
    </div>
  );
}

function SpillThere({ id }: { id: string }) {
  const answer = block.value?.zone === id ? block.value.answer : null;
  if (!answer) return null;
  const [order] = planSentences(answer, (id) => id, voice.value);
  return (
    <button type="button" class="action small" onClick={() => ask('block')}>
      <ActSign />
      <span>
        <strong>{say('where-from.spill-here')}</strong>
        <span>{[order, doNothingSentence(answer, voice.value), say('where-from.show-blocking')].join(' ')}</span>
      </span>
    </button>
  );
}
