import { useState } from 'preact/hooks';
import { MarkInText } from '../../../drawing/index.ts';
import { ProblemList } from '../parts/problem-list.tsx';
import { pick, pickedId } from '../state/picked.ts';
import { yard } from '../state/yard.ts';

const count = (number: number, word: string) => `${number} ${word}${number === 1 ? '' : 's'}`;

/** What the check of the map came upon, folded, with how much of it there is. */
export function MapProblems() {
  const [isOpen, setOpen] = useState(false);
  if (!yard.value) return null;
  const { map, report } = yard.value;
  const { problems } = report;
  const ids = new Set([...map.zones, ...map.structures, ...map.links, ...map.others].map(({ id }) => id));
  const counts = (['warning', 'note'] as const)
    .map((severity) => ({ severity, number: problems.filter((each) => each.severity === severity).length }))
    .filter(({ number }) => number > 0)
    .map(({ severity, number }) => count(number, severity));
  return (
    <details class="fold" onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
      <summary>
        Problems of the map <span>{counts.length > 0 ? counts.join(', ') : 'none'}</span>
      </summary>
      {isOpen && problems.length > 0 && <ProblemList problems={problems} isOnMap={(id) => ids.has(id)} />}
      {isOpen && problems.length === 0 && <p>The map is sound.</p>}
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
        All points <span>{count(structures.length, 'structure')}</span>
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
