import { memberOf } from '../unknown.ts';
import type { KeepRule, KindRule } from './rules.ts';

/**
 * A property of a source feature as text without blanks around it; "" where it is missing or null. The name is matched
 * exactly, else without the blanks around it ("MapDate " is found as "MapDate"). O(properties).
 */
export function textOf(properties: unknown, name: string): string {
  if (typeof properties !== 'object' || properties === null) return '';
  const key = Object.hasOwn(properties, name) ? name : Object.keys(properties).find((each) => each.trim() === name);
  const value = key === undefined ? null : memberOf(properties, key);
  if (value === null || value === undefined) return '';
  return typeof value === 'object' ? JSON.stringify(value) : String(value).trim();
}

/** The first rule that a feature does not pass; undefined when it is to be taken. */
export function failedRule(properties: unknown, rules: readonly KeepRule[]): KeepRule | undefined {
  return rules.find(({ property, values, keeps }) => values.includes(textOf(properties, property)) !== keeps);
}

/** The first rule that fits a feature; undefined when none does. */
export function fittingRule<R extends KindRule>(properties: unknown, rules: readonly R[]): R | undefined {
  return rules.find(
    ({ property, value }) => property === null || value === null || textOf(properties, property) === value,
  );
}
