import './drains.css';
import { END_KINDS } from '../../../site-map/index.ts';
import { pick, structureOf, ways, zoneOf } from '../state/picked.ts';
import { nameOf, yard } from '../state/yard.ts';

const STEPS_NAMED = 3;
const ZONES_NAMED = 2;

/** Where what is picked drains on to, and which zones' oil gets to it, step by step: each name picks what it names. */
export function Drains() {
  const found = ways.value;
  if (!found) return null;
  const zones = found.up.filter((id) => zoneOf(id) !== undefined);
  const steps = new Set(found.next.map(({ to }) => to));
  const after = found.down.filter((id) => !steps.has(id) && isStation(id));
  return (
    <div class="drains">
      <div>
        {found.next.length === 0 ? 'Drains on to nothing on this map.' : 'Drains on to '}
        {found.next.map(({ to, link }, at) => (
          <>
            {at > 0 && ' and '}
            <Pickable id={to} />
            {link !== null && ` by ${kindOf(link)} ${link}`}
          </>
        ))}
        {after.length > 0 && '; farther on '}
        <Names ids={after} most={STEPS_NAMED} />
        {found.next.length > 0 && after.length <= STEPS_NAMED && '.'}
      </div>
      {zoneOf(found.id) === undefined && (
        <div>
          {zones.length === 0 ? 'No oil of any zone gets here.' : 'Oil gets here from '}
          <Names ids={zones} most={ZONES_NAMED} />
          {zones.length > 0 && zones.length <= ZONES_NAMED && '.'}
        </div>
      )}
    </div>
  );
}

/** What one would look for farther on: separators, and where the yard ends. */
function isStation(id: string): boolean {
  const kind = structureOf(id)?.kind;
  return kind === 'separator' || (kind !== undefined && END_KINDS.includes(kind));
}

const kindOf = (id: string) => yard.value?.map.links.find((link) => link.id === id)?.kind ?? 'link';

/** The first few by name; the others in a fold, so that none is out of reach. */
function Names({ ids, most }: { ids: readonly string[]; most: number }) {
  const [first, rest] = [ids.slice(0, most), ids.slice(most)];
  return (
    <>
      <Listed ids={first} />
      {rest.length > 0 && ' and '}
      {rest.length > 0 && (
        <details class="more-names">
          <summary>{`${rest.length} more`}</summary>
          <Listed ids={rest} />
        </details>
      )}
    </>
  );
}

const Listed = ({ ids }: { ids: readonly string[] }) => (
  <>
    {ids.map((id, at) => (
      <>
        {at > 0 && ', '}
        <Pickable id={id} />
      </>
    ))}
  </>
);

const Pickable = ({ id }: { id: string }) => (
  <button type="button" class="in-words" onClick={() => pick(id)}>
    {nameOf(id)}
  </button>
);
