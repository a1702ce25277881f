import { type Problem, problem } from '../problem.ts';

/** Groups of features left out that are listed one by one; what is beyond them is summed up in one more note. */
const LISTED_GROUPS = 30;
/** Features named in a group. */
const NAMED = 5;

interface Group {
  layer: string;
  what: string;
  why: string;
  cure: string;
  places: string[];
  count: number;
}

/** Counts the features that were not taken, grouped by layer and reason, so that nothing is lost in silence. */
export class LeftOut {
  private readonly groups = new Map<string, Group>();
  count = 0;

  /** `what` in the plural ("lines"); `place` names the feature. O(1). */
  add({ place, ...reason }: Pick<Group, 'layer' | 'what' | 'why' | 'cure'> & { place: string }): void {
    const key = JSON.stringify([reason.layer, reason.what, reason.why]);
    const group = this.groups.get(key) ?? { ...reason, places: [], count: 0 };
    if (group.count === 0) this.groups.set(key, group);
    if (group.places.length < NAMED) group.places.push(place);
    group.count++;
    this.count++;
  }

  /** One note for each group, the largest first. O(groups · log(groups)). */
  problems(): Problem[] {
    const groups = [...this.groups.values()].sort((a, b) => b.count - a.count);
    const rest = groups.slice(LISTED_GROUPS);
    const notes = groups.slice(0, LISTED_GROUPS).map(groupNote);
    return rest.length === 0 ? notes : [...notes, restNote(rest)];
  }
}

function groupNote({ layer, what, why, cure, places, count }: Group): Problem {
  const found = count > places.length ? `${places.join(', ')} and ${count - places.length} more` : places.join(', ');
  const message = `${count} ${count === 1 ? what.replace(/s$/, '') : what} left out: ${why}`;
  return problem('import-left-out', { id: layer, field: null }, { message, found, cure });
}

function restNote(rest: readonly Group[]): Problem {
  const count = rest.reduce((sum, group) => sum + group.count, 0);
  const message = `${count} more features left out, for ${rest.length} more reasons of the same kinds`;
  return problem('import-left-out', { id: null, field: null }, { message, cure: 'name a property with fewer values' });
}
