import { saysOil } from '../../../sources/index.ts';
import { formatShare } from '../../../units/index.ts';
import { seenWords } from '../parts/finding-words.ts';
import { FluidSelect } from '../parts/fluid-select.tsx';
import { keepTogether } from '../parts/keep-together.ts';
import { changeFinding, earlier, isWorking, litresOf, sources } from '../state/finding.ts';
import { pickedId, structureOf } from '../state/picked.ts';
import { forgetSteps, lastStep, takeBack } from '../state/said.ts';
import { nameOf, units } from '../state/yard.ts';

/** What was put in or taken out last, what it did to the odds, and the way back. It stands where the thumb is. */
export function SaidBar() {
  const step = lastStep.value;
  if (!step || pickedId.value !== null) return null;
  const { finding, kind } = step;
  const isAdded = kind === 'added';
  const place = structureOf(finding.at) ? finding.at : nameOf(finding.at);
  const what = `${place}: ${seenWords(finding, litresOf(finding), units.value)}`;
  return (
    <section class="picked-point said" aria-label="What was said last">
      <p role="status">
        <strong>{`${what}${isAdded ? '.' : ', taken out.'}`}</strong> {keepTogether(movedWords())}
      </p>
      <div class="picked-acts">
        {isAdded && finding.seen !== undefined && saysOil(finding.seen) && (
          <FluidSelect
            label="Of what?"
            unknown="Of what?"
            fluid={finding.fluid}
            onChange={(fluid) => changeFinding(finding.id, { fluid })}
          />
        )}
        <button type="button" class="quiet" onClick={takeBack}>
          Take it back
        </button>
        <button type="button" class="quiet" onClick={forgetSteps}>
          Keep it
        </button>
      </div>
    </section>
  );
}

/** "Fuel island 41 %, was 27 %.": what moved most since the answer before. */
function movedWords(): string {
  if (isWorking.value) return 'Working it out …';
  const [now, before] = [sources.value, earlier.value];
  if (!now || !before) return '';
  const was = new Map(before.zones.map(({ id, share }) => [id, share]));
  const [most] = now.zones
    .map(({ id, share }) => ({ id, share, was: was.get(id) ?? 0 }))
    .sort((a, b) => Math.abs(b.share - b.was) - Math.abs(a.share - a.was));
  if (!most || formatShare(most.share) === formatShare(most.was)) return 'The odds stay about as they were.';
  return `${nameOf(most.id)} ${formatShare(most.share)}, was ${formatShare(most.was)}.`;
}
