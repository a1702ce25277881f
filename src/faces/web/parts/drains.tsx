import './drains.css';
import type { ComponentChildren } from 'preact';
import { told } from '../../../catalogue/index.ts';
import { END_KINDS } from '../../../site-map/index.ts';
import { pick, structureOf, ways, zoneOf } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
import { Filled } from './rich.tsx';

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
        {found.next.length === 0 ? (
          say('parts.drains-nowhere')
        ) : (
          <Filled
            of={[after.length === 0 ? 'parts.drains-to' : 'parts.drains-to-after']}
            slots={{
              next: <Listed items={found.next.map((step) => <Step key={step.to} {...step} />)} />,
              after: <Names ids={after} most={STEPS_NAMED} />,
            }}
          />
        )}
      </div>
      {zoneOf(found.id) === undefined && (
        <div>
          {zones.length === 0 ? (
            say('parts.oil-from-none')
          ) : (
            <Filled of={['parts.oil-from']} slots={{ zones: <Names ids={zones} most={ZONES_NAMED} /> }} />
          )}
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

/** What comes next, and by which link; over a zone's own ground by none. */
function Step({ to, link }: { to: string; link: string | null }) {
  if (link === null) return <Pickable id={to} />;
  const kind = yard.value?.map.links.find(({ id }) => id === link)?.kind ?? 'pipe';
  return (
    <Filled
      of={['parts.drains-by', { kind: told(`things.kind-${kind}`), link }]}
      slots={{ to: <Pickable id={to} /> }}
    />
  );
}

/** The first few by name; the others in a fold, so that none is out of reach. */
function Names({ ids, most }: { ids: readonly string[]; most: number }) {
  const [first, rest] = [ids.slice(0, most), ids.slice(most)].map((some) =>
    some.map((id) => <Pickable key={id} id={id} />),
  );
  const fold = rest.length > 0 && (
    <details key="more" class="more-names">
      <summary>{say('parts.names-more', { count: rest.length })}</summary>
      <Listed items={rest} />
    </details>
  );
  return <Listed items={fold ? [...first, fold] : first} />;
}

/** "A, B and C", of what is drawn. */
const Listed = ({ items }: { items: readonly ComponentChildren[] }) => (
  <>
    {new Intl.ListFormat(voice.value.locale)
      .formatToParts(items.map((_, at) => String(at)))
      .map(({ type, value }) => (type === 'element' ? items[Number(value)] : value))}
  </>
);

const Pickable = ({ id }: { id: string }) => (
  <button type="button" class="in-words" onClick={() => pick(id)}>
    {nameOf(id)}
  </button>
);
