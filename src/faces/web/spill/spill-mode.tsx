import './spill.css';
import { useEffect, useRef } from 'preact/hooks';
import { safetyFor } from '../../../spill/index.ts';
import { KeptNote } from '../parts/kept-note.tsx';
import { block } from '../state/picked.ts';
import {
  chosenAmount,
  chosenFluid,
  chosenPlace,
  forgetSpill,
  isClockOn,
  isSpillChosen,
  mayBeGasoline,
} from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { Calls } from './calls.tsx';
import { SaveSpill } from './clock.tsx';
import { GetOut } from './get-out.tsx';
import { PlanAhead } from './plan-ahead.tsx';
import { RunningSpill } from './running-spill.tsx';
import { WeatherAndHelp } from './weather-and-help.tsx';
import { HowMuch, WhatIsIt } from './what-is-it.tsx';
import { OnGround, WhereIsIt } from './where-is-it.tsx';

/** Where a spill stands: what is asked next, or what to do. */
type Stage = 'where' | 'what' | 'get-out' | 'ahead' | 'running';

function stageNow(): Stage {
  if (!chosenPlace.value) return 'where';
  if (mayBeGasoline.value) return 'get-out';
  if (!chosenFluid.value || !chosenAmount.value) return 'what';
  return isClockOn.value ? 'running' : 'ahead';
}

/** A spill: two questions, then one thing to do after the other. */
export function SpillMode() {
  const stage = stageNow();
  const box = useRef<HTMLDivElement>(null);
  const before = useRef(stage);
  useEffect(() => {
    if (before.current === stage) return;
    before.current = stage;
    const column = box.current?.closest('.column-inner');
    column?.scrollTo(0, 0);
    box.current?.querySelector<HTMLElement>('[tabindex="-1"]')?.focus({ preventScroll: true });
  }, [stage]);
  return (
    <div class="spill-mode" ref={box}>
      {stage !== 'get-out' && <FirstWords />}
      <Stages stage={stage} />
      {stage !== 'running' && <KeptNote afresh={isSpillChosen.value && !isClockOn.value ? forgetSpill : undefined} />}
    </div>
  );
}

function Stages({ stage }: { stage: Stage }) {
  if (stage === 'where') return <WhereIsIt />;
  if (stage === 'get-out') return <GetOut />;
  const answer = block.value?.answer ?? null;
  if (stage === 'running') return <RunningSpill answer={answer} />;
  return (
    <>
      <OnGround />
      {stage === 'ahead' && <PlanAhead answer={answer} />}
      <WhatIsIt />
      {chosenFluid.value && <HowMuch />}
      {stage === 'ahead' ? <WeatherAndHelp /> : <Calls />}
      {isClockOn.value && <SaveSpill />}
    </>
  );
}

/** What protects people, ahead of everything; in one line while the clock runs, since the step's own words follow. */
function FirstWords() {
  const fluid = chosenFluid.value;
  const danger = { fluid: fluid === 'unknown' ? null : (fluid ?? 'other'), mayBeGasoline: mayBeGasoline.value };
  const { first } = safetyFor(danger);
  if (isClockOn.value && chosenAmount.value) {
    const ignition = first.some(({ told }) => told === 'spill.no-ignition') ? 'no' : 'may';
    return <p class="first-words">{say('spill-screen.first-short', { ignition })}</p>;
  }
  return (
    <div class="first-words">
      <p>
        {first.map((each) => (
          <span key={each.told}>{voice.value.tell(each)} </span>
        ))}
      </p>
    </div>
  );
}
