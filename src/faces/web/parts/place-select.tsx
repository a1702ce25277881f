import type { StructureKind } from '../../../site-map/index.ts';
import { say } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

/** Chooses where something was seen: a structure, or a zone's own ground. */
export function PlaceSelect({ at, onChange }: { at: string; onChange: (at: string) => void }) {
  const { structures, zones } = yard.value?.map ?? { structures: [], zones: [] };
  const kinds = [...new Set(structures.map(({ kind }) => kind))];
  const optionsOf = (kind: StructureKind) =>
    structures
      .filter((each) => each.kind === kind)
      .map(({ id, name }) => (
        <option key={id} value={id}>
          {name === id ? id : say('parts.place-option', { id, name })}
        </option>
      ));
  return (
    <label>
      {say('parts.where')}
      <select value={at} onChange={({ currentTarget }) => onChange(currentTarget.value)}>
        {kinds.map((kind) => (
          <optgroup key={kind} label={say(`things.kind-${kind}`)}>
            {optionsOf(kind)}
          </optgroup>
        ))}
        <optgroup label={say('parts.open-ground')}>
          {zones.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </optgroup>
      </select>
    </label>
  );
}
