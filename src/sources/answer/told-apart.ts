import { byId } from '../../site-map/index.ts';
import type { Evidence } from '../question/evidence.ts';
import { fluidShares } from '../question/loads.ts';
import { isSeen } from '../question/observation.ts';
import type { Question } from '../question/question.ts';

/** A zone that is too far from a finding for its window, which is shorter than a day. */
export interface RuledOut {
  id: string;
  finding: string;
  minutes: number;
  windowMinutes: number;
}

/** Deliveries closer than this are the same. */
const SAME_DELIVERY = 1e-9;

/**
 * Groups of two or more zones that deliver the same to every finding: nothing seen so far can tell them apart. The same means the
 * same delivery by default `holds`, to about nine decimals, times the part of the yield that is the finding's fluid, and
 * the same minutes where a window is shorter than a day. What divides a group's oil is then what yields say and no finding. Empty
 * without a point or before anybody looked. Ids in order within a group. O(findings × zones).
 */
export function equalDelivery({ at, evidence, target }: Question): string[][] {
  const { findings, sources, delivered, minutes } = evidence;
  const seen = findings.flatMap((each, index) => (isSeen(each) ? [index] : []));
  if (seen.length === 0 || at === null) return [];
  const groups = new Map<string, string[]>();
  sources.forEach(({ zone }, source) => {
    if (!zone || delivered[target][source] === 0) return;
    const key = seen
      .map((index) => {
        const { fluid } = findings[index].source;
        const part = fluid === undefined ? 1 : fluidShares(zone, [fluid])[0].share;
        return `${Math.round((delivered[index][source] * part) / SAME_DELIVERY)} ${minutes[index][source]}`;
      })
      .join();
    groups.set(key, [...(groups.get(key) ?? []), zone.id]);
  });
  return [...groups.values()].filter((group) => group.length > 1).map((group) => group.sort(byId));
}

const MINUTES_PER_YEAR = 365.25 * 24 * 60;

/**
 * Zones that a window of less than a day is too short for, in the order of the findings: oil released right after the last
 * clean look would not have arrived. Minutes are a least time, for a fast release, so that a zone is not ruled out in error; it
 * counts for that finding alone, and may have brought oil to others. O(findings × sources).
 */
export function ruledOut({ findings, sources, minutes }: Evidence): RuledOut[] {
  return findings.flatMap((each, index) => {
    const { id, years } = each;
    const windowMinutes = years * MINUTES_PER_YEAR;
    if (!isSeen(each)) return [];
    return sources.flatMap(({ zone }, source) =>
      zone && minutes[index][source] >= windowMinutes && minutes[index][source] > 0
        ? [{ id: zone.id, finding: id, minutes: minutes[index][source], windowMinutes }]
        : [],
    );
  });
}
