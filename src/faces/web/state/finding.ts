import { computed, signal } from '@preact/signals';
import type { Problem } from '../../../site-map/index.ts';
import type { SourcesAnswer } from '../../../sources/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import type { OpenYard } from './yard.ts';

/** Everything that was seen, as it will be asked about, changes made on screen included. */
export const findings = signal<readonly FindingSource[]>([]);
/** The finding whose oil is asked about. */
export const askedId = signal<string | null>(null);
/** Whether the finding was made up here, because none came with the map. */
export const isSupposed = signal(false);
export const asked = computed(() => findings.value.find(({ id }) => id === askedId.value) ?? null);

/** The last answer that could be worked out, and whether a newer one is on its way. */
export const sources = signal<SourcesAnswer | null>(null);
export const sourcesProblems = signal<readonly Problem[]>([]);
export const isWorking = signal(false);

/** Changes the finding that is asked about; the answer follows. */
export function changeFinding(change: Partial<FindingSource>): void {
  findings.value = findings.value.map((each) => (each.id === askedId.value ? { ...each, ...change } : each));
}

/** Litres held in the structure; null for an oily or a clean look. */
export function litresOf({ amount }: FindingSource): number | null {
  if (!amount) return null;
  const { litres, thicknessMm, areaM2 } = amount as { litres?: number; thicknessMm?: number; areaM2?: number };
  return litres ?? (thicknessMm ?? 0) * (areaM2 ?? 0);
}

/** Takes over what a file said was seen, and asks about the largest amount, else the first oil. */
export function takeFindings(read: readonly FindingSource[], yard: OpenYard, today: Date): void {
  const structures = new Set(yard.map.structures.map(({ id }) => id));
  const amounts = read
    .filter((each) => structures.has(each.at) && (litresOf(each) ?? 0) > 0)
    .sort((a, b) => (litresOf(b) ?? 0) - (litresOf(a) ?? 0));
  const chosen = amounts[0] ?? read.find((each) => structures.has(each.at) && each.seen === 'oil');
  const supposed = chosen ? null : supposedFinding(yard, read, today);
  isSupposed.value = supposed !== null;
  findings.value = supposed ? [supposed, ...read] : read;
  askedId.value = chosen?.id ?? supposed?.id ?? null;
}

const DAYS_SUPPOSED = 90;

/**
 * With nothing to ask about, oil over the last 90 days is supposed where most zones meet: in the separator that takes
 * most of them, else at the first outfall, so that there is an answer to change.
 */
function supposedFinding({ map, report }: OpenYard, read: readonly FindingSource[], today: Date): FindingSource | null {
  const [busiest] = [...report.separators].sort((a, b) => b.zones.length - a.zones.length);
  const at =
    map.structures.find(({ id }) => id === busiest?.id) ??
    map.structures.find(({ kind }) => kind === 'outfall') ??
    map.structures[0];
  if (!at) return null;
  let id = 'supposed';
  while (read.some((each) => each.id === id)) id += '-';
  const since = new Date(today.getTime() - DAYS_SUPPOSED * 24 * 3600 * 1000);
  return { id, at: at.id, since: dayOf(since), seenAt: dayOf(today), seen: 'oil' };
}

/** A day as ISO 8601 writes it, by the clock on the wall here. */
export function dayOf(date: Date): string {
  const two = (part: number) => String(part).padStart(2, '0');
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
}
