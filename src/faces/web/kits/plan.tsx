import './kits.css';
import { Choices } from '../parts/choices.tsx';
import { KeptNote } from '../parts/kept-note.tsx';
import { clearPick } from '../state/picked.ts';
import { type PlanPart, planPart } from '../state/plan.ts';
import { say } from '../state/voice.ts';
import { KitsPart } from './kits-part.tsx';
import { MeasuresPart } from './measures-part.tsx';
import { SavePlan } from './save-plan.tsx';

const PARTS: readonly PlanPart[] = ['kits', 'measures'];

/** The planner: where kits should stand, and what keeps oil out for the money. */
export function Plan() {
  return (
    <div class="plan">
      <Choices
        legend={say('kits-screen.plan')}
        isBare
        options={PARTS.map((part) => ({ value: part, words: say(`kits-screen.part-${part}`) }))}
        value={planPart.value}
        onChoose={(part) => {
          clearPick();
          planPart.value = part;
        }}
      />
      {planPart.value === 'kits' ? <KitsPart /> : <MeasuresPart />}
      <KeptNote />
      <SavePlan />
    </div>
  );
}
