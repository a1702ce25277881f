import type { Problem } from '../../../site-map/index.ts';
import { foundOil } from '../../../sources/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { FluidSelect } from '../parts/fluid-select.tsx';
import { PlaceSelect } from '../parts/place-select.tsx';
import { asked, askedId, changeFinding, sourcesProblems } from '../state/finding.ts';
import { structureOf } from '../state/picked.ts';
import { removeFinding } from '../state/said.ts';
import { say } from '../state/voice.ts';
import { yard } from '../state/yard.ts';
import { WhatSeen } from './what-seen.tsx';

/** What the last answer had to say against a finding. */
export const problemsOf = (id: string): Problem[] => sourcesProblems.value.filter((each) => each.id === id);

/** One finding: where, what, when. Changing any of it changes the answer at once. */
export function FindingForm({ finding }: { finding: FindingSource }) {
  const { id } = finding;
  const move = (at: string) => {
    // Where nothing is held, no amount can stand; an oily look can.
    const holdsNothing = structureOf(at) === undefined || yard.value?.holds[at] === 0;
    changeFinding(id, holdsNothing && finding.amount ? { at, says: { seen: 'oil' } } : { at });
  };
  const isElsewhere = structureOf(finding.at) !== undefined && asked.value?.at !== finding.at;
  return (
    <form
      class="finding"
      aria-label={say('where-from.finding-at', { at: finding.at })}
      onSubmit={(event) => event.preventDefault()}
    >
      <div class="fields">
        <PlaceSelect at={finding.at} onChange={move} />
        <WhatSeen finding={finding} />
        {foundOil(finding) && (
          <FluidSelect
            label={say('where-from.fluid')}
            fluid={finding.fluid}
            onChange={(fluid) => changeFinding(id, { fluid })}
          />
        )}
        <Day
          label={say('where-from.last-clean')}
          value={finding.since}
          onChange={(since) => changeFinding(id, { since })}
        />
        <Day
          label={say('where-from.seen-on')}
          value={finding.seenAt}
          onChange={(seenAt) => changeFinding(id, { seenAt })}
        />
      </div>
      <NotCounted id={id} />
      <div class="finding-acts">
        {isElsewhere && (
          <button
            type="button"
            class="quiet"
            onClick={() => {
              askedId.value = id;
            }}
          >
            {say('where-from.ask-here')}
          </button>
        )}
        <button type="button" class="quiet" onClick={() => removeFinding(id)}>
          {say('where-from.take-out')}
        </button>
      </div>
    </form>
  );
}

/** Why a finding is not counted, and how to mend that. */
function NotCounted({ id }: { id: string }) {
  const problems = problemsOf(id);
  if (problems.length === 0) return null;
  return (
    <div class="form-errors" role="alert">
      {problems.map(({ code, field, message, cure, severity }) => (
        <p key={`${code} ${field}`}>
          {say(severity === 'error' ? 'where-from.not-counted-yet' : 'where-from.not-counted-why', {
            problem: message,
            remedy: cure,
          })}
        </p>
      ))}
    </div>
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
