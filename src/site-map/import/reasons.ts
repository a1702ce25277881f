import { type Told, told } from '../../catalogue/index.ts';
import { type Problem, problem, show } from '../problem.ts';
import { isLinkKind } from '../vocabulary.ts';
import type { SourceFeature } from './layers.ts';
import type { KeepRule, KindRule } from './rules.ts';
import { textOf } from './values.ts';

/** Why a feature does not pass a keep rule, and what to do about it. */
export function notKept({ properties }: SourceFeature, { property, values, keeps }: KeepRule): [why: Told, cure: Told] {
  const rule = `${property}${keeps ? '=' : '!='}${values.join(',')}`;
  const value = show(textOf(properties, property));
  return [told('import.not-kept', { property, value, rule }), told('import.keep-value')];
}

/** Why no kind rule fits a feature, and what to do about it. `rules` are those that speak of its shape. */
export function noKind(
  { properties }: SourceFeature,
  shape: 'point' | 'line',
  rules: readonly KindRule[],
): [why: Told, cure: Told] {
  const asked = [...new Set(rules.flatMap(({ property }) => property ?? []))];
  if (asked.length === 0) return [told('import.no-rule', { shape }), told('import.add-rule')];
  const list = asked.map((property) => {
    return told('import.property-is', { property, value: show(textOf(properties, property)) });
  });
  const cure = told('import.add-rule-for', { property: asked[0], value: textOf(properties, asked[0]) });
  return [told('import.no-rule-fits', { values: { list } }), cure];
}

/** A kind rule that no feature met. */
export function unusedRule({ property, value, kind }: KindRule): Problem {
  const text = `${property === null ? '' : `${property}=`}${value ?? '*'}:${kind}`;
  const shape = isLinkKind(kind) ? 'line' : 'point';
  const message = told('import.unused-rule', { shape, rule: JSON.stringify(text) });
  const words = { message, found: text, cure: told('import.check-rule') };
  return problem('unused-rule', { id: null, field: '--kind' }, words);
}

/** Parts off the globe: one error when they are most of the parts (they are in metres or feet), else each by itself. */
export function offGlobeProblems(off: readonly Told[], soundParts: number): Problem[] {
  const allowed = told('map.on-globe');
  if (off.length <= soundParts) {
    const words = { message: told('import.off-globe'), allowed, cure: told('import.mend-source') };
    return off.map((id) => problem('bad-geometry', { id, field: 'geometry' }, words));
  }
  const message = told('import.mostly-off-globe', { count: off.length, id: off[0] });
  const place = { id: null, field: 'geometry.coordinates' };
  return [problem('projected-coordinates', place, { message, allowed, cure: told('import.export-wgs84') })];
}
