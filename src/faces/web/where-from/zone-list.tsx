import { useState } from 'preact/hooks';
import { hatchFill, hatchOf, rampStep } from '../../../drawing/index.ts';
import type { SourcesAnswer, ZoneShare } from '../../../sources/index.ts';
import { groupSentences, lookWords, rangeWords, ruledOutSentences, whySentence } from '../../../words/index.ts';
import { keepTogether } from '../parts/keep-together.ts';
import { usePickedInSight } from '../parts/picked-in-sight.ts';
import { earlier, findings } from '../state/finding.ts';
import { pick, pickedId, structureOf } from '../state/picked.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, unprotected, yard } from '../state/yard.ts';
import { IntervalBar } from './interval-bar.tsx';
import { PickedZone } from './picked-zone.tsx';

const SHOWN_FIRST = 8;
const FOLDED_FROM = 24;

/** The zones by their share, each with its range. A row and its zone on the map are one: picking either picks both. */
export function ZoneList({ answer }: { answer: SourcesAnswer }) {
  const [isWhole, setWhole] = useState(false);
  const shown = answer.zones.filter(({ id }, at) => isWhole || at < SHOWN_FIRST || id === pickedId.value);
  return (
    <section aria-labelledby="ranked">
      <h2 id="ranked">
        {answer.at === null ? say('where-from.expected-release') : say('where-from.share-in', { at: answer.at })}
      </h2>
      <ol class="zones">
        {shown.map((zone, at) => (
          <ZoneRow key={zone.id} zone={zone} hatch={hatchOf(answer.groups, zone.id)} isFirst={at === 0} />
        ))}
        {answer.at !== null && <Unmapped {...answer.unmapped} />}
      </ol>
      {answer.zones.length > SHOWN_FIRST && (
        <button type="button" class="more" onClick={() => setWhole(!isWhole)}>
          {isWhole
            ? say('where-from.show-first-zones', { count: SHOWN_FIRST })
            : say('where-from.show-zones', { count: answer.zones.length })}
        </button>
      )}
      <Groups answer={answer} />
      <Others answer={answer} />
    </section>
  );
}

/** A finding in the words of a reason: "clean CB-6", "oil MH-12". */
export function reasonPlace(id: string): string {
  const finding = findings.value.find((each) => each.id === id);
  if (!finding) return id;
  const place = structureOf(finding.at) ? finding.at : nameOf(finding.at);
  return lookWords(finding, place, voice.value);
}

const shareWords = (share: number) => voice.value.text({ share });

/** "was 16%", where the printed share is another one than before. */
function Was({ share, was }: { share: number; was: number | undefined }) {
  const [now, before] = [shareWords(share), was === undefined ? null : shareWords(was)];
  if (before === null || before === now) return null;
  return <span class="was"> {say('where-from.was', { share: before })}</span>;
}

/** What a share was in the answer before; undefined where there is none about the same place. */
const shareBefore = (id: string): number | undefined =>
  earlier.value ? (earlier.value.zones.find((each) => each.id === id)?.share ?? 0) : undefined;

/** The first zone says why at once; the others when they are picked. */
function ZoneRow({ zone, hatch, isFirst }: { zone: ZoneShare; hatch: number; isFirst: boolean }) {
  const isPicked = pickedId.value === zone.id;
  const reasons = whySentence(zone, { lookOf: reasonPlace }, voice.value);
  const why = reasons && keepTogether(reasons);
  const row = usePickedInSight<HTMLLIElement>(isPicked);
  return (
    <li ref={row}>
      <button type="button" class="zone-row" data-row={zone.id} aria-pressed={isPicked} onClick={() => pick(zone.id)}>
        <Patch step={rampStep(zone.share)} hatch={hatch} />
        <span class="row-name">
          {nameOf(zone.id)}
          {unprotected.value.has(zone.id) && <em> {say('where-from.bypass')}</em>}
          <Was share={zone.share} was={shareBefore(zone.id)} />
        </span>
        <strong>{shareWords(zone.share)}</strong>
        <IntervalBar {...zone} />
        <span class="row-range">{rangeWords(zone, voice.value)}</span>
      </button>
      {isFirst && !isPicked && why && <p class="why">{why}</p>}
      {isPicked && <PickedZone id={zone.id} main={zone.main} why={why ?? say('where-from.no-reason')} />}
    </li>
  );
}

function Unmapped(share: SourcesAnswer['unmapped']) {
  return (
    <li class="zone-row unmapped">
      <Patch step={0} hatch={0} />
      <span class="row-name">
        {say('where-from.not-on-map')}
        <Was share={share.share} was={earlier.value?.unmapped.share} />
      </span>
      <strong>{shareWords(share.share)}</strong>
      <IntervalBar {...share} />
      <span class="row-range">{rangeWords(share, voice.value)}</span>
    </li>
  );
}

/** The shade and hatch a zone has on the map. */
function Patch({ step, hatch }: { step: number; hatch: number }) {
  return (
    <svg class={`patch ramp-${step}`} viewBox="0 0 24 24" aria-hidden="true">
      <rect class="zone" x="1" y="1" width="22" height="22" rx="3" />
      {hatch > 0 && <rect x="1" y="1" width="22" height="22" rx="3" fill={hatchFill('hatch', hatch, step)} />}
    </svg>
  );
}

/** Which zones nothing seen can tell apart; a long list of them stays folded. */
function Groups({ answer }: { answer: SourcesAnswer }) {
  if (answer.groups.length === 0) return null;
  return (
    <div class="groups">
      {[...groupSentences(answer, nameOf, voice.value), ...ruledOutSentences(answer, nameOf, voice.value)].map(
        (sentence, at) => (
          <p key={sentence}>
            <Patch step={0} hatch={(at % 4) + 1} /> {sentence}
          </p>
        ),
      )}
    </div>
  );
}

/** Zones that cannot have sent oil there: no number of theirs is on the map, but they can be picked all the same. */
function Others({ answer }: { answer: SourcesAnswer }) {
  const counted = new Set(answer.zones.map(({ id }) => id));
  const others = yard.value?.map.zones.filter(({ id }) => !counted.has(id)) ?? [];
  if (others.length === 0) return null;
  const title =
    answer.at === null ? say('where-from.cannot-have-sent-any') : say('where-from.cannot-have-sent', { at: answer.at });
  const list = (
    <ul>
      {others.map(({ id }) => (
        <OtherZone key={id} id={id} />
      ))}
    </ul>
  );
  // A town has hundreds of them; the one that is picked must show all the same.
  const isFolded = others.length > FOLDED_FROM && !others.some(({ id }) => id === pickedId.value);
  return isFolded ? (
    <details class="other-zones fold">
      <summary>
        {title} <span>{say('where-from.zones', { count: others.length })}</span>
      </summary>
      {list}
    </details>
  ) : (
    <div class="other-zones">
      <h3>{title}</h3>
      {list}
    </div>
  );
}

function OtherZone({ id }: { id: string }) {
  const isPicked = pickedId.value === id;
  const row = usePickedInSight<HTMLLIElement>(isPicked);
  return (
    <li ref={row}>
      <button type="button" class="chip" data-row={id} aria-pressed={isPicked} onClick={() => pick(id)}>
        {nameOf(id)}
        {unprotected.value.has(id) && <em> {say('where-from.bypass')}</em>}
      </button>
      {isPicked && <PickedZone id={id} main={null} why={null} />}
    </li>
  );
}
