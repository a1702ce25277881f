import { saysOil } from '../../../sources/index.ts';
import { seenWords } from '../parts/finding-words.ts';
import { FluidSelect } from '../parts/fluid-select.tsx';
import { changeFinding, earlier, isWorking, litresOf, sources } from '../state/finding.ts';
import { pickedId, structureOf } from '../state/picked.ts';
import { forgetSteps, lastStep, takeBack } from '../state/said.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';

/** What was put in or taken out last, what it did to the odds, and the way back. It stands where the thumb is. */
export function SaidBar() {
  const step = lastStep.value;
  if (!step || pickedId.value !== null) return null;
  const { finding, kind } = step;
  const isAdded = kind === 'added';
  const place = structureOf(finding.at) ? finding.at : nameOf(finding.at);
  const seen = seenWords(finding, litresOf(finding));
  return (
    <section class="picked-point said" aria-label={say('where-from.said-last')}>
      <p role="status">
        <strong>{say(isAdded ? 'where-from.said' : 'where-from.taken-out', { place, seen })}</strong> {movedWords()}
      </p>
      <div class="picked-acts">
        {isAdded && finding.seen !== undefined && saysOil(finding.seen) && (
          <FluidSelect
            label={say('where-from.of-what')}
            unknown={say('where-from.of-what')}
            fluid={finding.fluid}
            onChange={(fluid) => changeFinding(finding.id, { fluid })}
          />
        )}
        <button type="button" class="quiet" onClick={takeBack}>
          {say('where-from.take-back')}
        </button>
        <button type="button" class="quiet" onClick={forgetSteps}>
          {say('where-from.keep-it')}
        </button>
      </div>
    </section>
  );
}

/** "Fuel island 41 %, was 27 %.": what moved most since the answer before. */
function movedWords(): string {
  if (isWorking.value) return say('app.working');
  const [now, before] = [sources.value, earlier.value];
  if (!now || !before) return '';
  const was = new Map(before.zones.map(({ id, share }) => [id, share]));
  const [most] = now.zones
    .map(({ id, share }) => ({ id, share, was: was.get(id) ?? 0 }))
    .sort((a, b) => Math.abs(b.share - b.was) - Math.abs(a.share - a.was));
  const [share, earlierWords] = [most?.share ?? 0, most?.was ?? 0].map((each) => voice.value.text({ share: each }));
  if (!most || share === earlierWords) return say('where-from.odds-stay');
  return say('where-from.odds-moved', { zone: nameOf(most.id), share, before: earlierWords });
}
