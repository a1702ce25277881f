import { type Problem, problem } from '../problem.ts';
import { isLinkKind } from '../vocabulary.ts';
import type { SourceFeature } from './layers.ts';
import type { KeepRule, KindRule } from './rules.ts';
import { textOf } from './values.ts';

/** Why a feature does not pass a keep rule, and what to do about it. */
export function notKept(
  { properties }: SourceFeature,
  { property, values, keeps }: KeepRule,
): [why: string, cure: string] {
  const rule = `${property}${keeps ? '=' : '!='}${values.join(',')}`;
  const value = JSON.stringify(textOf(properties, property));
  return [`${property} is ${value}, which --keep "${rule}" does not take`, 'add the value to --keep to take them'];
}

/** Why no kind rule fits a feature, and what to do about it. `rules` are those that speak of its shape. */
export function noKind(
  { properties }: SourceFeature,
  shape: 'point' | 'line',
  rules: readonly KindRule[],
): [why: string, cure: string] {
  const asked = [...new Set(rules.flatMap(({ property }) => property ?? []))];
  if (asked.length === 0)
    return [`no --kind rule speaks of ${shape}s`, 'add --kind "Property=value:KIND" with the kind they are'];
  const values = asked.map((property) => `${property} is ${JSON.stringify(textOf(properties, property))}`);
  const cure = `add --kind "${asked[0]}=${textOf(properties, asked[0])}:KIND" with the kind they are, to take them`;
  return [`${values.join(' and ')}, and no --kind rule takes that`, cure];
}

/** A kind rule that no feature met. */
export function unusedRule({ property, value, kind }: KindRule): Problem {
  const text = `${property === null ? '' : `${property}=`}${value ?? '*'}:${kind}`;
  const shape = isLinkKind(kind) ? 'line' : 'point';
  const message = `no ${shape} was left for the rule ${JSON.stringify(text)}`;
  const cure = 'check the property, the value and the order of the rules, or drop it';
  return problem('unused-rule', { id: null, field: '--kind' }, { message, found: text, cure });
}

/** Parts off the globe: one error when they are most of the parts (they are in metres or feet), else each by itself. */
export function offGlobeProblems(off: readonly string[], soundParts: number): Problem[] {
  const message = 'its coordinates are no longitude and latitude';
  const allowed = 'longitude -180 to 180, latitude -90 to 90';
  if (off.length <= soundParts) {
    const cure = 'mend it in the source and import again';
    return off.map((id) => problem('bad-geometry', { id, field: 'geometry' }, { message, allowed, cure }));
  }
  const projected = `${off.length} lines or points are off the globe, the first is ${off[0]}; they look projected (metres or feet)`;
  const cure = 'export the layers again in WGS 84 longitude and latitude';
  return [
    problem(
      'projected-coordinates',
      { id: null, field: 'geometry.coordinates' },
      { message: projected, allowed, cure },
    ),
  ];
}
