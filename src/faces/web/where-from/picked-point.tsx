import { told } from '../../../catalogue/index.ts';
import { MarkInText } from '../../../drawing/index.ts';
import { foundOil } from '../../../sources/index.ts';
import { Drains } from '../parts/drains.tsx';
import { Rich } from '../parts/rich.tsx';
import { WalkFromHere } from '../parts/walker-place.tsx';
import { asked, askedId, changeFinding, findings, supposedId } from '../state/finding.ts';
import { ask, clearPick, pickedId, structureOf } from '../state/picked.ts';
import { say } from '../state/voice.ts';
import { yard } from '../state/yard.ts';
import { CleanOrOily } from './clean-or-oily.tsx';

/** What a picked structure, link or place is, wherever it was picked. A picked zone opens in its own list instead. */
export function PickedPoint() {
  const id = pickedId.value;
  if (id === null || !yard.value) return null;
  const structure = structureOf(id);
  const link = yard.value.map.links.find((each) => each.id === id);
  const other = yard.value.map.others.find((each) => each.id === id);
  if (structure) return <PickedStructure id={id} />;
  if (!link && !other) return null;
  const name = other && 'name' in other.properties ? String(other.properties.name ?? id) : id;
  return (
    <div class="picked-point" role="status">
      <p>
        {link && <Rich of={['where-from.runs-between', { name, from: link.from, to: link.to }]} as={STRONG} />}
        {other && (
          <Rich of={['where-from.is-a', { name, what: told(`things.a-${other.properties.kind}`) }]} as={STRONG} />
        )}
      </p>
      <div class="picked-acts">
        {other?.geometry.type === 'Point' && <WalkFromHere id={id} />}
        <ClearPick />
      </div>
    </div>
  );
}

const STRONG = { b: 'strong' };

/** What part of the oil it keeps; of a separator, by the trade's name for that. */
function keptWords(structure: NonNullable<ReturnType<typeof structureOf>>, holds: number): string {
  if (holds === 0) return say('where-from.keeps-none');
  const isGuess = structure.properties.holds === undefined && holds < 1;
  const share = { share: holds };
  if (structure.kind === 'separator')
    return say(isGuess ? 'where-from.efficiency-guess' : 'where-from.efficiency', { share });
  return say(isGuess ? 'where-from.keeps-guess' : 'where-from.keeps', { share });
}

function PickedStructure({ id }: { id: string }) {
  const structure = structureOf(id);
  if (!structure) return null;
  const name = structure.name === id ? id : `${id}, ${structure.name}`;
  const oilHere = findings.value.find((each) => each.at === id && foundOil(each));
  const isSupposed = asked.value !== null && asked.value.id === supposedId.value;
  const findHere = () => {
    if (oilHere) askedId.value = oilHere.id;
    else changeFinding(askedId.value ?? '', { at: id });
    ask('from');
  };
  return (
    <div class="picked-point">
      <p role="status">
        <MarkInText kind={structure.kind} />
        <Rich of={['where-from.structure-is', { name, kind: told(`things.kind-${structure.kind}`) }]} as={STRONG} />{' '}
        {keptWords(structure, yard.value?.holds[id] ?? 0)}
      </p>
      <Drains />
      <CleanOrOily at={id} />
      <div class="picked-acts">
        {asked.value?.at !== id && (oilHere || isSupposed) && (
          <button type="button" class="quiet" onClick={findHere}>
            {say(oilHere ? 'where-from.ask-here' : 'where-from.suppose-here')}
          </button>
        )}
        <WalkFromHere id={id} />
        <ClearPick />
      </div>
    </div>
  );
}

function ClearPick() {
  return (
    <button type="button" class="quiet" onClick={clearPick}>
      {say('where-from.let-go')}
    </button>
  );
}
