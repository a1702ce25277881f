import { type Told, told } from '../catalogue/index.ts';
import { type Activity, INLET_KINDS, type SiteMap, type Structure, type Zone } from '../site-map/index.ts';

/** How a kind of measure works and what it costs. Money in the site's currency. */
export interface MeasureKind {
  measure: string;
  /** Part of the oil that it keeps back, 0 to 1, and the range within which that is likely to lie. */
  cut: number;
  low: number;
  high: number;
  firstCost: number;
  /** Besides, for each square metre of the zone. */
  firstCostPerM2: number;
  yearlyCost: number;
  yearlyCostPerM2: number;
  /** Where it goes: zones of these activities, grates, or the last structure before a separator or an outfall. */
  goes: readonly Activity[] | 'grate' | 'last';
  source: string | Told;
}

/** The table of one kind, ready to be placed. */
const kind = (
  measure: string,
  goes: MeasureKind['goes'],
  [cut, low, high]: [number, number, number],
  costs: Partial<Pick<MeasureKind, 'firstCost' | 'firstCostPerM2' | 'yearlyCost' | 'yearlyCostPerM2'>>,
  source = told('measures.source-guess'),
): MeasureKind => ({
  measure,
  goes,
  cut,
  low,
  high,
  firstCost: 0,
  firstCostPerM2: 0,
  yearlyCost: 0,
  yearlyCostPerM2: 0,
  ...costs,
  source,
});

/**
 * What keeps oil from getting anywhere, with USD costs. All guesses but the insert's part, which is 10 to 19 % of the
 * hydrocarbons at full flow (Edwards et al. 2004, Transportation Research Record 1890, 123–128): an insert is a weak barrier. Edit them in `site.measures`.
 */
export const DEFAULT_MEASURES: readonly MeasureKind[] = [
  kind('sweeping', ['parking', 'roadway', 'loading', 'storage', 'other'], [0.15, 0.05, 0.3], { yearlyCostPerM2: 0.35 }),
  kind('drip-pans', ['parking', 'workshop', 'storage', 'scrap'], [0.4, 0.2, 0.6], {
    firstCostPerM2: 1,
    yearlyCostPerM2: 0.3,
  }),
  kind('hose-checks', ['fueling'], [0.3, 0.1, 0.5], { yearlyCost: 600 }),
  kind('roof', ['fueling', 'wash-bay', 'scrap'], [0.5, 0.3, 0.8], { firstCostPerM2: 180, yearlyCost: 200 }),
  kind('low-wall', ['fueling', 'loading', 'storage', 'workshop', 'scrap'], [0.4, 0.2, 0.7], {
    firstCost: 800,
    firstCostPerM2: 4,
    yearlyCost: 100,
  }),
  kind('insert', 'grate', [0.14, 0.1, 0.19], { firstCost: 150, yearlyCost: 120 }, told('measures.source-insert')),
  kind('shut-off-valve', 'last', [0.2, 0.05, 0.5], { firstCost: 6_000, yearlyCost: 150 }),
];

/** One measure at one place of the map. Parts are from 0 to 1, money in the site's currency. */
export interface Measure {
  measure: string;
  /** Zone or structure. */
  at: string;
  cut: number;
  low: number;
  high: number;
  /** What the first year costs: putting it in and running it. */
  cost: number;
  /** What a year costs over its life of ten years. */
  yearlyCost: number;
  source: string | Told;
}

/** Years over which a first cost is spread. A guess. */
const LIFE_YEARS = 10;

/** The kinds of measures of a site: the default table with what `site.measures` changes, by name; `false` leaves one out. */
export function measureKinds({ site }: SiteMap): MeasureKind[] {
  const changes = site.measures ?? {};
  return DEFAULT_MEASURES.flatMap((each) => {
    const change = changes[each.measure];
    if (change === false) return [];
    return [change === undefined ? each : changed(each, change)];
  });
}

/** What a site says instead; a range it does not state is widened to hold its cut. */
function changed(
  kind: MeasureKind,
  change: Exclude<NonNullable<SiteMap['site']['measures']>[string], false>,
): MeasureKind {
  const { cut, low, high, ...others } = { ...kind, ...change };
  const source = typeof change.source === 'string' ? change.source : told('measures.source-site');
  const { measure, goes } = kind;
  return { ...others, cut, low: Math.min(low, cut), high: Math.max(high, cut), measure, goes, source };
}

/** Every measure that could be taken, zone by zone and structure by structure. `lastBefore` are structures that lead to a separator or an outfall. */
export function possibleMeasures(map: SiteMap, lastBefore: ReadonlySet<string>): Measure[] {
  return measureKinds(map).flatMap((each) => {
    if (each.goes === 'grate') return map.structures.filter(takesInsert).map(({ id }) => measureAt(each, id, 0));
    if (each.goes === 'last') {
      return map.structures
        .filter(({ id, kind: is }) => lastBefore.has(id) && is !== 'valve')
        .map(({ id }) => measureAt(each, id, 0));
    }
    const { goes } = each;
    return map.zones
      .filter((zone) => suits({ ...each, goes }, zone))
      .map(({ id, areaM2 }) => measureAt(each, id, areaM2));
  });
}

const takesInsert = ({ kind: is, properties }: Structure) =>
  INLET_KINDS.includes(is) && properties.insert === undefined;

const suits = ({ goes, measure }: Pick<MeasureKind, 'measure'> & { goes: readonly Activity[] }, { properties }: Zone) =>
  goes.includes(properties.activity) && !(measure === 'roof' && properties.covered === true);

function measureAt(
  { measure, cut, low, high, firstCost, firstCostPerM2, yearlyCost, yearlyCostPerM2, source }: MeasureKind,
  at: string,
  areaM2: number,
): Measure {
  const first = firstCost + firstCostPerM2 * areaM2;
  const yearly = yearlyCost + yearlyCostPerM2 * areaM2;
  // Rounded up, so that no plan costs more than it says. Whole units of the currency, so that budgets and the steps
  // between them are exact.
  return {
    measure,
    at,
    cut,
    low,
    high,
    cost: Math.ceil(first + yearly),
    yearlyCost: first / LIFE_YEARS + yearly,
    source,
  };
}
