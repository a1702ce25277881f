import { computed } from '@preact/signals';
import { formatVolume } from '../../../units/index.ts';
import { asked, litresOf, sources } from '../state/finding.ts';
import { block, isPathShown, pickedId, question } from '../state/picked.ts';
import { roundGoers, units, yard } from '../state/yard.ts';
import type { DrawnYard } from './drawn.ts';

const LIDS_SHOWN = 3;
/** A lid that tells less than this, in bits, is not worth a walk. */
const LEAST_BITS = 0.01;

/** "9.00 L" as "9 L": a tag has little room, and zeros would claim more than was measured. */
export const withoutZeros = (volume: string): string =>
  volume.replace(/\.(\d*?)0+(?= )/, (_, kept: string) => (kept ? `.${kept}` : ''));

/** What was seen, in the few words that fit a tag. */
const seen = computed(() => {
  const finding = asked.value;
  if (!finding) return null;
  const litres = litresOf(finding);
  const words =
    litres === null
      ? finding.seen === 'clean'
        ? 'Seen clean'
        : 'Oil seen'
      : `Found ${withoutZeros(formatVolume(litres, units.value))}`;
  return { at: finding.at, words };
});

export const lids = computed(
  () =>
    sources.value?.nextLids
      .filter(({ bits }) => bits >= LEAST_BITS)
      .slice(0, LIDS_SHOWN)
      .map(({ at }) => at) ?? [],
);

/** Everything a drawing of the yard needs but its size; null until a yard is open. */
export const drawnYard = computed((): Omit<DrawnYard, 'transform'> | null => {
  if (!yard.value) return null;
  return {
    flat: yard.value.flat,
    answer: sources.value,
    roundGoers: roundGoers.value,
    seen: seen.value,
    lids: question.value === 'from' ? lids.value : [],
    block: isPathShown.value ? block.value : null,
    pickedId: pickedId.value,
    hatchId: 'hatch',
  };
});
