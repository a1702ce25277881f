import { computed } from '@preact/signals';
import { isUnexplained } from '../../words/sources.ts';
import { volumeWords } from '../panel/finding-words.ts';
import { asked, findings, litresOf, sources } from '../state/finding.ts';
import { block, isPathShown, pickedId, question } from '../state/picked.ts';
import { roundGoers, units, yard } from '../state/yard.ts';
import type { DrawnYard } from './drawn.ts';

const LIDS_SHOWN = 3;
/** A lid that tells less than this, in bits, is not worth a walk. */
const LEAST_BITS = 0.01;

/** What was seen, in the few words that fit a tag. */
const seen = computed(() => {
  const finding = asked.value;
  if (!finding) return null;
  const litres = litresOf(finding);
  const look = finding.seen === 'clean' ? 'Seen clean' : 'Oil seen';
  const words = litres === null ? look : `Found ${volumeWords(litres, units.value)}`;
  return { at: finding.at, words };
});

/** The other places that were looked into; of several looks into one the latest is drawn. */
const looks = computed(() => {
  const isCleanAt = new Map<string, boolean>();
  for (const { at, seen: look } of [...findings.value].sort((a, b) => (a.seenAt < b.seenAt ? -1 : 1))) {
    if (at !== asked.value?.at) isCleanAt.set(at, look === 'clean');
  }
  return [...isCleanAt].map(([at, isClean]) => ({ at, isClean }));
});

export const lids = computed(
  () =>
    sources.value?.nextLids
      .filter(({ bits }) => bits >= LEAST_BITS)
      .slice(0, LIDS_SHOWN)
      .map(({ at }) => at) ?? [],
);

/** The structure whose oil nothing on the map explains. */
const unexplained = computed(() =>
  question.value === 'from' && sources.value && isUnexplained(sources.value) ? sources.value.at : null,
);

/** Everything a drawing of the yard needs but its size; null until a yard is open. */
export const drawnYard = computed((): Omit<DrawnYard, 'transform'> | null => {
  if (!yard.value) return null;
  return {
    flat: yard.value.flat,
    answer: sources.value,
    roundGoers: roundGoers.value,
    seen: seen.value && {
      ...seen.value,
      words: unexplained.value === seen.value.at ? `${seen.value.words}, not explained` : seen.value.words,
    },
    looks: question.value === 'from' ? looks.value : [],
    unexplained: unexplained.value,
    lids: question.value === 'from' ? lids.value : [],
    block: isPathShown.value ? block.value : null,
    pickedId: pickedId.value,
    hatchId: 'hatch',
  };
});
