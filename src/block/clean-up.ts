import {
  END_KINDS,
  type Link,
  type Site,
  type SiteMap,
  type Structure,
  type StructureKind,
} from '../site-map/index.ts';

/** What clean-up costs where the map states nothing, in USD: guesses within ×/÷ 3, to be edited in `site.costs`. */
const DEFAULT_CLEANUP: Readonly<Record<Exclude<StructureKind, 'outfall'>, number>> = {
  'catch-basin': 350,
  'trench-drain': 350,
  manhole: 350,
  valve: 350,
  separator: 3_500,
  pond: 15_000,
  sanitary: 5_000,
  // Where the map ends nobody knows what comes next: it is taken for a public drain.
  edge: 15_000,
};
const DEFAULT_OUTFALL_CLEANUP = { 'public-drain': 15_000, stream: 60_000 };
const DEFAULT_PIPE_PER_M = 12;
/** Somebody comes with a truck: once for each clean-up. A guess. */
const DEFAULT_CALL_OUT = 1_200;
/**
 * For each litre that gets there, in USD. Small releases of light fuel are remembered at about USD 100 a gallon for the
 * response alone (Etkin 2004, not read again), 26 a litre; taking oily water in costs a plant at least USD 0.02 a litre.
 * Out of a drain it can be sucked up, out of a stream hardly. Guesses within ×/÷ 3.
 */
const DEFAULT_PER_LITRE = { stream: 25, publicDrain: 10 };
/** A price that is a guess may be so many times too high or too low. */
const GUESS_FACTOR = 3;
/** Litres up to which a place counts as clean: a wet rag's worth. */
export const CLEAN_LITRES = 0.05;

/** A place, and the litres of oil that get into it. */
export interface Fouled {
  item: Structure | Link;
  litres: number;
}

/** What a clean-up costs in the site's currency, and what the prices being guesses makes of it. */
export interface CleanUp {
  cost: number;
  low: number;
  high: number;
}

/** A sum in two parts: what the map states, and what is guessed. */
interface Sum {
  stated: number;
  guessed: number;
}

/** What an outfall discharges into: a drain or sewer, else, and where nothing is stated, a stream. */
const waterOf = ({ receives = '' }: Structure<'outfall'>['properties']): 'public-drain' | 'stream' =>
  /drain|sewer/i.test(receives) ? 'public-drain' : 'stream';

/**
 * What it costs to clean a structure that oil has got into, without what grows with the litres. An outfall counts by what
 * it discharges to: a drain or sewer as a public drain, anything else, or nothing stated, as a stream, the dearest: what
 * is not known must not look cheap to foul.
 */
export function structureCleanup(map: SiteMap, structure: Structure): number {
  return statedFor(map.site, structure) ?? guessFor(structure);
}

function statedFor({ costs }: Site, structure: Structure): number | undefined {
  const { cleanupCost } = structure.properties;
  if (cleanupCost !== undefined) return cleanupCost;
  if (structure.kind !== 'outfall') return costs?.cleanup?.[structure.kind];
  return costs?.cleanup?.[waterOf(structure.properties)] ?? costs?.cleanup?.outfall;
}

const guessFor = (structure: Structure): number =>
  structure.kind === 'outfall'
    ? DEFAULT_OUTFALL_CLEANUP[waterOf(structure.properties)]
    : DEFAULT_CLEANUP[structure.kind];

/**
 * What it costs to clean a link that oil has got into, by its length; an overland path costs nothing. A swale costs
 * what a pipe does where the site states no price of its own.
 */
export function linkCleanup({ site }: SiteMap, link: Link): number {
  return link.kind === 'overland' ? 0 : link.lengthM * (statedPerM(site, link) ?? DEFAULT_PIPE_PER_M);
}

const statedPerM = ({ costs }: Site, { kind }: Link): number | undefined =>
  kind === 'swale' ? (costs?.swalePerM ?? costs?.pipePerM) : costs?.pipePerM;

/**
 * What it costs to clean up all that oil gets into, in the site's currency. Places with at most 0.05 L count as clean. A
 * structure that states its `cleanupCost` costs that and no more; an end of the drainage that does not costs its price and so
 * much for each litre that enters it; the call-out comes once, where anything is fouled whose price the map does not state.
 * The range takes guessed prices a third and three times as high, stated ones as they are. O(places).
 */
export function cleanUpOf(map: SiteMap, fouled: readonly Fouled[]): CleanUp {
  const { costs } = map.site;
  const sum: Sum = { stated: 0, guessed: 0 };
  const add = (amount: number, isStated: boolean) => {
    if (isStated) sum.stated += amount;
    else sum.guessed += amount;
  };
  let isCalled = false;
  for (const { item, litres } of fouled) {
    if (!(litres > CLEAN_LITRES) || item.kind === 'overland') continue;
    const isPriced = addPrice(map, item, add);
    if (!isPriced) isCalled = true;
    if (!('position' in item) || !END_KINDS.includes(item.kind) || item.properties.cleanupCost !== undefined) continue;
    const water = item.kind === 'outfall' && waterOf(item.properties) === 'stream' ? 'stream' : 'publicDrain';
    const perLitre = costs?.perLitre?.[water];
    add(litres * (perLitre ?? DEFAULT_PER_LITRE[water]), perLitre !== undefined);
  }
  if (isCalled) add(costs?.callOut ?? DEFAULT_CALL_OUT, costs?.callOut !== undefined);
  const { stated, guessed } = sum;
  return { cost: stated + guessed, low: stated + guessed / GUESS_FACTOR, high: stated + guessed * GUESS_FACTOR };
}

/** Adds the price of one place; gives whether the map states it. */
function addPrice(map: SiteMap, item: Structure | Link, add: (amount: number, isStated: boolean) => void): boolean {
  const isStructure = 'position' in item;
  const isStated = (isStructure ? statedFor(map.site, item) : statedPerM(map.site, item)) !== undefined;
  add(isStructure ? structureCleanup(map, item) : linkCleanup(map, item), isStated);
  return isStated;
}
