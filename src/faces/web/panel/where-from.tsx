import { nextLidSentence, sourcesSentence } from '../../words/sources.ts';
import { isWorking, sources } from '../state/finding.ts';
import { pick, pickedId } from '../state/picked.ts';
import { nameOf } from '../state/yard.ts';
import { FindingForm } from './finding-form.tsx';
import { HowSure } from './how-sure.tsx';
import { keepTogether } from './keep-together.ts';
import { LidSign } from './signs.tsx';
import { ZoneList } from './zone-list.tsx';

/** Where from? The answer, what to do, why, how sure, what is assumed. */
export function WhereFrom() {
  const answer = sources.value;
  return (
    <>
      <p class={isWorking.value ? 'answer working' : 'answer'} aria-live="polite">
        {answer ? keepTogether(sourcesSentence(answer, nameOf)) : 'Working it out …'}
      </p>
      <NextLid />
      <FindingForm />
      {answer && <ZoneList answer={answer} />}
      {answer && <HowSure answer={answer} />}
    </>
  );
}

/** What to do next; pressing it picks the lid on the map. */
function NextLid() {
  const answer = sources.value;
  const best = answer?.nextLids[0];
  const sentence = answer && nextLidSentence(answer);
  if (!best) return null;
  if (!sentence) return <p class="action plain">No lid left to lift would tell more.</p>;
  const end = sentence.indexOf(':');
  return (
    <button type="button" class="action" aria-pressed={pickedId.value === best.at} onClick={() => pick(best.at)}>
      <LidSign number={1} />
      <span>
        <strong>{end > 0 ? `${sentence.slice(0, end)}.` : sentence}</strong>
        {end > 0 && <span>{capital(sentence.slice(end + 1).trim())}</span>}
      </span>
    </button>
  );
}

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
