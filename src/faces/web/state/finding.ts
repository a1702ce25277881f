import { batch, computed, signal } from '@preact/signals';
import type { Problem } from '../../../site-map/index.ts';
import { DAY_MS } from '../../../site-map/index.ts';
import { type FindingValue, type SourcesAnswer, saysOil } from '../../../sources/index.ts';
import type { Amounts, FindingSource, Replies } from '../compute/protocol.ts';
import type { OpenYard } from './yard.ts';

/** Everything that was seen, as it will be asked about, changes made on screen included. */
export const findings = signal<readonly FindingSource[]>([]);
/** The finding whose oil is asked about; null when there is none to ask about. */
export const askedId = signal<string | null>(null);
/** The finding that was made up here, because none came with the map. */
export const supposedId = signal<string | null>(null);
/** The finding whose fields are open in the list. */
export const openId = signal<string | null>(null);
/** The place of a finding that is being added, before it is said what was seen there; null while none is. */
export const addingAt = signal<string | null>(null);
export const asked = computed(() => findings.value.find(({ id }) => id === askedId.value) ?? null);

/** The last answer that could be worked out, and whether a newer one is on its way. */
export const sources = signal<SourcesAnswer | null>(null);
/** The answer before that, where it was about the same place: what the odds have moved from. */
export const earlier = signal<SourcesAnswer | null>(null);
export const sourcesProblems = signal<readonly Problem[]>([]);
export const isWorking = signal(false);
/** Whether it is known that the oil came in one spill; else that is left to the findings. */
export const isOneSpill = signal(false);
/** How much each measured finding came to when it was last read. */
const amounts = signal<Amounts>({});

/** The finding that the shares are taken for: at one place the latest, which may not be the one asked about. */
export const answeredId = computed(() => {
  const answered = findings.value.find(({ id }) => id === sources.value?.finding);
  return answered && answered.at === asked.value?.at ? answered.id : askedId.value;
});

/** Takes over what the worker replied. Without an answer the one before stands. */
export function takeAnswer({ answer, amounts: read, problems }: Replies['sources']): void {
  batch(() => {
    sourcesProblems.value = problems;
    amounts.value = { ...amounts.value, ...read };
    if (!answer) return;
    // Where only the walk has changed, what the odds have moved from stays.
    if (!isSameOdds(sources.value, answer)) earlier.value = sources.value?.at === answer.at ? sources.value : null;
    sources.value = answer;
  });
}

function isSameOdds(before: SourcesAnswer | null, { at, zones }: SourcesAnswer): boolean {
  return (
    before?.at === at &&
    before.zones.length === zones.length &&
    before.zones.every(({ id, share }, index) => id === zones[index].id && share === zones[index].share)
  );
}

/**
 * Changes one finding; the answer follows. What was only supposed is the user's own from then on, unless it is only
 * supposed somewhere else.
 */
export function changeFinding(id: string, { says, ...change }: FindingChange): void {
  batch(() => {
    findings.value = findings.value.map((each) => {
      if (each.id !== id) return each;
      const changed = { ...each, ...change };
      if (!says) return changed;
      const { seen: _, amount: __, event: ___, ...others } = changed;
      return { ...others, ...says };
    });
    if (supposedId.value === id && (says || Object.keys(change).some((key) => key !== 'at'))) supposedId.value = null;
  });
}

/** What can be changed about a finding; `says` takes the place of all that it said. */
export type FindingChange = Partial<Pick<FindingSource, 'at' | 'since' | 'seenAt' | 'fluid'>> & { says?: FindingValue };

/** Litres held in the structure; null for a look, and for an amount not yet worked out. */
export function litresOf({ id, amount }: FindingSource): number | null {
  if (!amount) return null;
  return amount.litres ?? amounts.value[id]?.litres ?? null;
}

/** The factor within which an amount is right two times in three; null where that is not known yet. */
export const factorOf = ({ id }: FindingSource): number | null => amounts.value[id]?.factor ?? null;

/** The finding to ask about when nobody chose: the largest amount in a structure, else the first oil in one. */
export function bestToAsk(all: readonly FindingSource[], yard: OpenYard): FindingSource | null {
  const structures = new Set(yard.map.structures.map(({ id }) => id));
  const here = all.filter(({ at, fluid }) => structures.has(at) && fluid !== 'coolant');
  const amounts = here
    .filter((each) => (litresOf(each) ?? 0) > 0)
    .sort((a, b) => (litresOf(b) ?? 0) - (litresOf(a) ?? 0));
  return amounts[0] ?? here.find(({ seen }) => seen !== undefined && saysOil(seen)) ?? null;
}

/** Takes over what a file said was seen, and asks about the largest amount, else the first oil. */
export function takeFindings(
  { findings: read, amounts: worth }: Pick<Replies['findings'], 'findings' | 'amounts'>,
  yard: OpenYard,
  today: Date,
): void {
  amounts.value = worth;
  const chosen = bestToAsk(read, yard);
  const supposed = chosen ? null : supposedFinding(yard, read, today);
  supposedId.value = supposed?.id ?? null;
  openId.value = supposedId.value;
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
  return { id, at: at.id, ...findingWindow(null, today), seen: 'oil' };
}

/**
 * The window of a look made now: since the finding asked about was last clean, until today. A window must not end
 * before it starts: on the very day itself it ends at this minute, and where even that is too early (a clock that is
 * wrong, a date still to come) it ends where the finding asked about does.
 */
export function findingWindow(
  about: Pick<FindingSource, 'since' | 'seenAt'> | null,
  now: Date,
): Pick<FindingSource, 'since' | 'seenAt'> {
  if (!about) return { since: dayOf(new Date(now.getTime() - DAYS_SUPPOSED * DAY_MS)), seenAt: dayOf(now) };
  const { since } = about;
  if (dayOf(now) > since.slice(0, 10)) return { since, seenAt: dayOf(now) };
  const isLater = dayOf(now) === since.slice(0, 10) && since.length > 10 && now.getTime() > Date.parse(since);
  return { since, seenAt: isLater ? now.toISOString() : about.seenAt };
}

/** A day as ISO 8601 writes it, by the clock on the wall here. */
export function dayOf(date: Date): string {
  const two = (part: number) => String(part).padStart(2, '0');
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
}
