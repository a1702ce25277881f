import type { StructureKind } from '../../../site-map/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { asked, changeFinding, findings, isSupposed, sourcesProblems } from '../state/finding.ts';
import { units, yard } from '../state/yard.ts';
import { HowMuch } from './how-much.tsx';
import { STRUCTURE_WORDS } from './kind-words.ts';

/** What was found, where and when. Changing any of it changes the answer at once. */
export function FindingForm() {
  const finding = asked.value;
  if (!finding || !yard.value) return null;
  const errors = sourcesProblems.value.filter(({ severity }) => severity === 'error');
  return (
    <form class="finding" aria-label="What was found" onSubmit={(event) => event.preventDefault()}>
      <h2>What was found</h2>
      {isSupposed.value && (
        <p class="hint">No findings came with this map, so this one is supposed. Change it to what you saw.</p>
      )}
      <div class="fields">
        <Where finding={finding} />
        <HowMuch key={`${finding.id} ${units.value}`} finding={finding} />
        <Day label="Last known clean" value={finding.since} onChange={(since) => changeFinding({ since })} />
        <Day label="Seen on" value={finding.seenAt} onChange={(seenAt) => changeFinding({ seenAt })} />
      </div>
      {errors.length > 0 && (
        <div class="form-errors" role="alert">
          {errors.map(({ id, field, message, cure }) => (
            <p key={`${id} ${field} ${message}`}>{`This is not counted yet: ${message}. To mend it: ${cure}.`}</p>
          ))}
        </div>
      )}
      <OtherFindings />
    </form>
  );
}

function Where({ finding }: { finding: FindingSource }) {
  const structures = yard.value?.map.structures ?? [];
  const kinds = [...new Set(structures.map(({ kind }) => kind))];
  const optionsOf = (kind: StructureKind) =>
    structures
      .filter((each) => each.kind === kind)
      .map(({ id, name }) => (
        <option key={id} value={id}>
          {name === id ? id : `${id}, ${name}`}
        </option>
      ));
  const move = (at: string) => {
    // Where nothing is held, no amount can stand; an oily look can.
    const heldNothing = finding.amount !== undefined && yard.value?.holds[at] === 0;
    changeFinding(heldNothing ? { at, seen: 'oil', amount: undefined } : { at });
  };
  return (
    <label>
      Where
      <select value={finding.at} onChange={({ currentTarget }) => move(currentTarget.value)}>
        {kinds.map((kind) => (
          <optgroup key={kind} label={STRUCTURE_WORDS[kind]}>
            {optionsOf(kind)}
          </optgroup>
        ))}
      </select>
    </label>
  );
}

function Day({ label, value, onChange }: { label: string; value: string; onChange: (day: string) => void }) {
  return (
    <label>
      {label}
      <input
        type="date"
        value={value.slice(0, 10)}
        onChange={({ currentTarget }) => currentTarget.value && onChange(currentTarget.value)}
      />
    </label>
  );
}

/** What else was seen, and whether the answer weighs it. */
function OtherFindings() {
  const isLeftOut = sourcesProblems.value.some(({ code }) => code === 'not-counted');
  const others = findings.value.filter((each) => each !== asked.value);
  if (others.length === 0) return null;
  const words = others.map(
    (each) => `${each.at} ${each.amount ? 'an amount' : each.seen === 'oil' ? 'oily' : 'clean'}`,
  );
  return (
    <p class="hint">{`Also seen${isLeftOut ? ', and not yet weighed in this answer' : ''}: ${words.join(', ')}.`}</p>
  );
}
