import { type Told, told } from '../../catalogue/index.ts';
import { type Problem, problem } from '../problem.ts';

/** Groups of features left out that are listed one by one; what is beyond them is summed up in one more note. */
const LISTED_GROUPS = 30;
/** Features named in a group. */
const NAMED = 5;

interface Group {
  layer: string;
  /** What they are; features where their geometry is not known or of no use. */
  what: 'points' | 'lines' | 'features';
  why: Told;
  cure: Told;
  places: Told[];
  count: number;
}

/** Counts the features that were not taken, grouped by layer and reason, so that nothing is lost in silence. */
export class LeftOut {
  private readonly groups = new Map<string, Group>();
  count = 0;

  /** `place` names the feature. O(1). */
  add({ place, ...reason }: Pick<Group, 'layer' | 'what' | 'why' | 'cure'> & { place: Told }): void {
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
  const more = count - places.length;
  const names = more > 0 ? [...places, told('import.more', { count: more })] : places;
  const message = told('import.left-out', { count, what, why });
  return problem(
    'import-left-out',
    { id: layer, field: null },
    { message, found: told('import.names', { names: { list: names } }), cure },
  );
}

function restNote(rest: readonly Group[]): Problem {
  const count = rest.reduce((sum, group) => sum + group.count, 0);
  const message = told('import.left-out-rest', { count, reasons: rest.length });
  return problem('import-left-out', { id: null, field: null }, { message, cure: told('import.name-other-property') });
}
