import { useState } from 'preact/hooks';
import { farShutOff, safetyFor } from '../../../spill/index.ts';
import { block } from '../state/picked.ts';
import { chosenAmount, chosenFluid, isClockOn, spillZone } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { yard } from '../state/yard.ts';
import { Arrivals } from './arrivals.tsx';
import { Calls } from './calls.tsx';
import { Elapsed, SaveSpill, Timer } from './clock.tsx';
import { ItIsReal } from './it-is-real.tsx';
import { HowMuch, WhatIsIt } from './what-is-it.tsx';
import { OnGround } from './where-is-it.tsx';

/** Gasoline, or what may be: nobody is sent anywhere. */
export function GetOut() {
  const [isNone, setNone] = useState(false);
  const fluid = chosenFluid.value;
  const { first, always } = safetyFor({ fluid: fluid === 'gasoline' ? fluid : null, mayBeGasoline: true });
  const zone = spillZone.value;
  const far = yard.value && zone !== null ? farShutOff(yard.value.map, zone) : null;
  return (
    <>
      <div class="get-out" role="alert">
        {first.map((each) => (
          <p key={each.told} class="answer get-out-words" tabIndex={-1}>
            {voice.value.tell(each)}
          </p>
        ))}
      </div>
      <Calls happened="fire-or-injury" />
      <Timer />
      <ItIsReal />
      {far && <p>{voice.value.tell(far)}</p>}
      <OnGround />
      {isNone ? (
        <WhatIsIt isNoGasoline />
      ) : (
        <button type="button" class="big" onClick={() => setNone(true)}>
          {say('spill-screen.is-no-gasoline')}
        </button>
      )}
      <section aria-labelledby="care">
        <h2 id="care">{say('app.take-care')}</h2>
        <ul class="plain-list care">
          {always.map((each) => (
            <li key={each.told}>{voice.value.tell(each)}</li>
          ))}
        </ul>
      </section>
      <details class="fold">
        <summary>{say('spill-screen.where-it-goes')}</summary>
        <HowMuch />
        {chosenAmount.value && block.value?.spill && <Arrivals spill={block.value.spill} />}
      </details>
      <Elapsed />
      {isClockOn.value && <SaveSpill />}
    </>
  );
}
