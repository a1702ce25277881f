import { SeenSign } from '../../../drawing/index.ts';
import type { LidPlan, SourcesAnswer } from '../../../sources/index.ts';
import { lidPlanSentences } from '../../../words/index.ts';
import { Rich } from '../parts/rich.tsx';
import { kindOf } from '../state/picked.ts';
import { voice } from '../state/voice.ts';

/** The two lids after the best one, by what is seen: a line for each of its answers, told in full to who cannot see it. */
export function NextLids({ answer }: { answer: SourcesAnswer }) {
  const [oily, clean] = lidPlanSentences(answer, kindOf, voice.value);
  const plan = answer.lidPlan;
  if (!plan || oily === undefined) return null;
  return (
    <ul class="lid-plan">
      <Branch isClean next={plan.ifClean} sentence={clean} />
      <Branch isClean={false} next={plan.ifOil} sentence={oily} />
    </ul>
  );
}

const STRONG = { b: 'strong' };

function ifSeen(isClean: boolean, { ifClean, ifOil }: LidPlan) {
  if (ifClean || ifOil) return isClean ? 'where-from.if-clean-then' : 'where-from.if-oily-then';
  return isClean ? 'where-from.if-clean' : 'where-from.if-oily';
}

function Branch({ isClean, next, sentence }: { isClean: boolean; next: LidPlan | null; sentence: string }) {
  return (
    <li>
      <span class="unseen">{sentence}</span>
      <span aria-hidden="true">
        <span>
          {next === null ? (
            <Rich of={[isClean ? 'where-from.if-clean-none' : 'where-from.if-oily-none']} as={STRONG} />
          ) : (
            <Rich of={[ifSeen(isClean, next), { at: next.at }]} as={STRONG} />
          )}
        </span>
        {next && <Then isClean next={next.ifClean} />}
        {next && <Then isClean={false} next={next.ifOil} />}
      </span>
    </li>
  );
}

function Then({ isClean, next }: { isClean: boolean; next: LidPlan | null }) {
  return (
    next && (
      <span class="then">
        <SeenSign isClean={isClean} />
        {next.at}
      </span>
    )
  );
}
