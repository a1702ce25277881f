import { MarkInText } from '../../../drawing/index.ts';
import { foundOil } from '../../../sources/index.ts';
import { formatShare } from '../../../units/index.ts';
import { Drains } from '../parts/drains.tsx';
import { STRUCTURE_WORDS } from '../parts/kind-words.ts';
import { StandHere } from '../parts/standing.tsx';
import { asked, askedId, changeFinding, findings, supposedId } from '../state/finding.ts';
import { ask, clearPick, pickedId, structureOf } from '../state/picked.ts';
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
        <strong>{name}</strong>
        {link && ` runs from ${link.from} to ${link.to}.`}
        {other && ` is ${OTHER_WORDS[other.properties.kind]}.`}
      </p>
      <div class="picked-acts">
        {other?.geometry.type === 'Point' && <StandHere id={id} />}
        <ClearPick />
      </div>
    </div>
  );
}

const OTHER_WORDS = {
  kit: 'a spill kit',
  'kit-spot': 'a place where a kit may stand',
  crew: 'where a responder sets out',
  building: 'a building',
  'property-line': 'the property line',
  water: 'water',
  'fuel-stop': 'where fuel is turned off',
  'pump-switch': 'where pumps are turned off',
  diverter: 'where water is sent another way',
  'run-on': 'where water comes in from outside',
} as const;

function PickedStructure({ id }: { id: string }) {
  const structure = structureOf(id);
  const holds = yard.value?.holds[id] ?? 0;
  if (!structure) return null;
  const isGuess = structure.properties.holds === undefined && holds > 0 && holds < 1;
  const keeps =
    holds > 0
      ? `It keeps ${formatShare(holds)} of the oil that comes${isGuess ? ', a guess' : ''}.`
      : 'It keeps no oil back.';
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
        <strong>{structure.name === id ? id : `${id}, ${structure.name}`}</strong>
        {`: ${STRUCTURE_WORDS[structure.kind]}. ${keeps}`}
      </p>
      <Drains />
      <CleanOrOily at={id} />
      <div class="picked-acts">
        {asked.value?.at !== id && (oilHere || isSupposed) && (
          <button type="button" class="quiet" onClick={findHere}>
            {oilHere ? 'Ask about the oil here' : 'Suppose oil here'}
          </button>
        )}
        <StandHere id={id} />
        <ClearPick />
      </div>
    </div>
  );
}

function ClearPick() {
  return (
    <button type="button" class="quiet" onClick={clearPick}>
      Let go
    </button>
  );
}
