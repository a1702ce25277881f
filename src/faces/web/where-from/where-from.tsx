import './where-from.css';
import type { RefObject } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { LidSign, QuestionSign } from '../../../drawing/index.ts';
import {
  howSureSentence,
  isUnexplained,
  nextLidSentence,
  nextLidWords,
  sourcesSentence,
} from '../../../words/index.ts';
import { keepTogether } from '../parts/keep-together.ts';
import { WalkerPlace } from '../parts/walker-place.tsx';
import { asked, isOneSpill, isWorking, sources, supposedId } from '../state/finding.ts';
import { kindOf, pick, pickedId } from '../state/picked.ts';
import { isNextWanted } from '../state/said.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';
import { CleanOrOily } from './clean-or-oily.tsx';
import { FindingsList } from './findings-list.tsx';
import { HowSure } from './how-sure.tsx';
import { NextLids } from './lid-plan.tsx';
import { ZoneList } from './zone-list.tsx';

/** Where the oil came from: the answer, what to do, why, how sure, what is assumed. */
export function WhereFrom() {
  const answer = sources.value;
  return (
    <>
      <p class="answer" aria-live="polite" aria-busy={isWorking.value}>
        {answer ? keepTogether(sourcesSentence(answer, nameOf, voice.value)) : say('app.working')}
      </p>
      {asked.value && asked.value.id === supposedId.value && (
        <p class="rough">{say('where-from.supposed', { at: asked.value.at })}</p>
      )}
      {answer && !answer.isSure && <p class="rough">{howSureSentence(answer, voice.value)}</p>}
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
      <span>{say('where-from.one-spill')}</span>
    </label>
  );
}

/** What to do where nothing drawn explains the oil; pressing it picks the place on the map. */
function Unexplained({ at }: { at: string }) {
  return (
    <section class="unexplained" aria-label={say('where-from.what-to-do')}>
      <button type="button" class="action" aria-pressed={pickedId.value === at} onClick={() => pick(at)}>
        <QuestionSign />
        <span>
          <strong>{say('where-from.look-from-above', { at })}</strong>
          <span>{say('where-from.pipe-mouth')}</span>
        </span>
      </button>
      <ul class="plain-list care">
        <li>{say('where-from.pour-water', { at })}</li>
        <li>{say('where-from.draw-it')}</li>
        <li>{say('where-from.finding-wrong')}</li>
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
  if (!best || !answer) return null;
  const words = nextLidWords(answer, kindOf, voice.value);
  if (!words) {
    const why = nextLidSentence(answer, kindOf, voice.value) ?? say('where-from.no-lid-left');
    return (
      <>
        <p class="action plain">{why}</p>
        {best.minutes !== null && <WalkerPlace />}
      </>
    );
  }
  return (
    <>
      <div class="next-lid" ref={section}>
        <p class="lid-care">{words.care.join(' ')}</p>
        <button type="button" class="action" aria-pressed={pickedId.value === best.at} onClick={() => pick(best.at)}>
          <LidSign number={1} />
          <span>
            <strong>{words.order}</strong>
            <span>{keepTogether(`${words.chance} ${words.worth}`)}</span>
          </span>
        </button>
        <CleanOrOily at={best.at} />
      </div>
      <NextLids answer={answer} />
      <WalkerPlace />
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
