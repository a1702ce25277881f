import './where-from.css';
import type { RefObject } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { LidSign, QuestionSign } from '../../../drawing/index.ts';
import { howSureSentence, isUnexplained, nextLidSentence, sourcesSentence } from '../../../words/index.ts';
import { keepTogether } from '../parts/keep-together.ts';
import { Standing } from '../parts/standing.tsx';
import { asked, isOneSpill, isWorking, sources, supposedId } from '../state/finding.ts';
import { pick, pickedId } from '../state/picked.ts';
import { isNextWanted } from '../state/said.ts';
import { nameOf } from '../state/yard.ts';
import { CleanOrOily } from './clean-or-oily.tsx';
import { FindingsList } from './findings-list.tsx';
import { HowSure } from './how-sure.tsx';
import { NextLids } from './lid-plan.tsx';
import { ZoneList } from './zone-list.tsx';

/** Where from? The answer, what to do, why, how sure, what is assumed. */
export function WhereFrom() {
  const answer = sources.value;
  return (
    <>
      <p class="answer" aria-live="polite" aria-busy={isWorking.value}>
        {answer ? keepTogether(sourcesSentence(answer, nameOf)) : 'Working it out …'}
      </p>
      {asked.value && asked.value.id === supposedId.value && (
        <p class="rough">{`Nobody has seen oil in ${asked.value.at} yet: it is supposed. Say below what you saw.`}</p>
      )}
      {answer && !answer.isSure && <p class="rough">{howSureSentence(answer)}</p>}
      {answer && isUnexplained(answer) && answer.at !== null && <Unexplained at={answer.at} />}
      <NextLid />
      <FindingsList />
      <OneSpill />
      {answer && <ZoneList answer={answer} />}
      {answer && <HowSure answer={answer} />}
    </>
  );
}

/** Who knows that it was one spill says so: then one zone is all of it, and the next lid is chosen far better. */
function OneSpill() {
  return (
    <label class="one-spill">
      <input
        type="checkbox"
        checked={isOneSpill.value}
        onChange={({ currentTarget }) => {
          isOneSpill.value = currentTarget.checked;
        }}
      />
      <span>I know it was one spill</span>
    </label>
  );
}

/** What to do where nothing drawn explains the oil; pressing it picks the place on the map. */
function Unexplained({ at }: { at: string }) {
  return (
    <section class="unexplained" aria-label="What to do about it">
      <button type="button" class="action" aria-pressed={pickedId.value === at} onClick={() => pick(at)}>
        <QuestionSign />
        <span>
          <strong>{`Look into ${at} from above.`}</strong>
          <span>Is there a pipe mouth that this map does not show? See which way it comes.</span>
        </span>
      </button>
      <ul class="plain-list care">
        <li>{`Pour clean water into drains nearby, indoor ones too, and watch ${at}: dye shows it best.`}</li>
        <li>Draw what you find on the map and bring it again.</li>
        <li>Or a finding below is wrong: look again at the clean ones.</li>
      </ul>
    </section>
  );
}

/** What to do next: lift the lid and say what was seen. Pressing the words picks it on the map. */
function NextLid() {
  const answer = sources.value;
  const section = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!isNextWanted.value) return;
    bringIntoSight(section.current);
    if (!isWorking.value) isNextWanted.value = false;
  }, [isNextWanted.value, isWorking.value]);
  useEffect(() => stayInSight(section), []);
  const best = answer?.nextLids[0];
  const sentence = answer && nextLidSentence(answer);
  if (!best || !answer) return null;
  if (!sentence || best.minutes === Infinity) {
    return (
      <>
        <p class="action plain">{sentence ?? 'No lid left to lift would tell more.'}</p>
        {best.minutes !== null && <Standing />}
      </>
    );
  }
  const end = sentence.indexOf(':');
  return (
    <>
      <div class="next-lid" ref={section}>
        <button type="button" class="action" aria-pressed={pickedId.value === best.at} onClick={() => pick(best.at)}>
          <LidSign number={1} />
          <span>
            <strong>{end > 0 ? `${sentence.slice(0, end)}.` : sentence}</strong>
            {end > 0 && <span>{keepTogether(capital(sentence.slice(end + 1).trim()))}</span>}
          </span>
        </button>
        <CleanOrOily at={best.at} />
      </div>
      <NextLids answer={answer} />
      <Standing />
    </>
  );
}

/** All of it; where there is no room for that, the buttons at its foot. */
function bringIntoSight(section: HTMLElement | null): void {
  section?.scrollIntoView({ block: 'nearest' });
  section?.lastElementChild?.scrollIntoView({ block: 'nearest' });
}

/** What was in sight stays so when a bar comes up under it, or the phone is turned. Gives back the way to stop. */
function stayInSight(section: RefObject<HTMLElement | null>): (() => void) | undefined {
  const column = document.querySelector('.column-inner');
  if (!column) return undefined;
  let height = column.clientHeight;
  const sizes = new ResizeObserver(() => {
    const top = (section.current?.getBoundingClientRect().top ?? 0) - column.getBoundingClientRect().top;
    if (top >= 0 && top < height) bringIntoSight(section.current);
    height = column.clientHeight;
  });
  sizes.observe(column);
  return () => sizes.disconnect();
}

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
