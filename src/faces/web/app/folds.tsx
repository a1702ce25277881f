import { useState } from 'preact/hooks';
import { MarkInText } from '../../../drawing/index.ts';
import { ProblemList } from '../parts/problem-list.tsx';
import { pick, pickedId } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

/** What the check of the map came upon, folded, with how much of it there is. */
export function MapProblems() {
  const [isOpen, setOpen] = useState(false);
  if (!yard.value) return null;
  const { map, report } = yard.value;
  const { problems } = report;
  const ids = new Set([...map.zones, ...map.structures, ...map.links, ...map.others].map(({ id }) => id));
  const [warnings, notes] = (['warning', 'note'] as const).map(
    (severity) => problems.filter((each) => each.severity === severity).length,
  );
  const counts = [
    ...(warnings > 0 ? [say('app.warnings', { count: warnings })] : []),
    ...(notes > 0 ? [say('app.notes', { count: notes })] : []),
  ];
  return (
    <details class="fold" onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
      <summary>
        {say('app.map-problems')} <span>{counts.length > 0 ? voice.value.list(counts) : say('app.no-problems')}</span>
      </summary>
      {isOpen && problems.length > 0 && <ProblemList problems={problems} isOnMap={(id) => ids.has(id)} />}
      {isOpen && problems.length === 0 && <p>{say('app.map-is-sound')}</p>}
    </details>
  );
}

/** Every structure of the map as a button, so that none needs a pointer to be reached. */
export function AllPoints() {
  const [isOpen, setOpen] = useState(false);
  const structures = yard.value?.map.structures ?? [];
  return (
    <details class="fold" onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
      <summary>
        {say('app.all-points')} <span>{say('app.structures', { count: structures.length })}</span>
      </summary>
      {isOpen && (
        <ul class="all-points">
          {structures.map(({ id, name, kind }) => (
            <li key={id}>
              <button type="button" data-row={id} aria-pressed={pickedId.value === id} onClick={() => pick(id)}>
                <MarkInText kind={kind} />
                <span>{name === id ? id : `${id}, ${name}`}</span>
              </button>
            </li>
          ))}
        </ul>
      )}
    </details>
  );
}
