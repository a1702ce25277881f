import { told } from '../../../catalogue/index.ts';
import { ActSign } from '../../../drawing/index.ts';
import { Drains } from '../parts/drains.tsx';
import { WalkFromHere } from '../parts/walker-place.tsx';
import { ask, zoneOf } from '../state/picked.ts';
import { choosePlace } from '../state/spill.ts';
import { say } from '../state/voice.ts';

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

/** The way over to a spill on this ground: where it is is then known, and what it is is asked. */
function SpillThere({ id }: { id: string }) {
  const go = () => {
    choosePlace({ zone: id });
    ask('block');
  };
  return (
    <button type="button" class="action small" onClick={go}>
      <ActSign />
      <span>
        <strong>{say('where-from.spill-here')}</strong>
        <span>{say('where-from.show-blocking')}</span>
      </span>
    </button>
  );
}
