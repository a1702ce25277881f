import { type Drainage, flowIndexOf, minutesFromZone, upstreamOf } from '../../drainage/index.ts';
import { INLET_KINDS, type Zone } from '../../site-map/index.ts';
import { MS_PER_YEAR } from '../findings/findings.ts';
import { expectedLitresPerYear, fluidShares, type LoadSpread, loadSpreadOf } from './loads.ts';
import type { Observation } from './observation.ts';

/** Something oil can have come from: a zone, or what is not on the map at one structure. */
export interface Source {
  /** null: not on the map. */
  zone: Zone | null;
  /** The structure that an unmapped source comes out at; null for a zone. */
  at: string | null;
  /** μ, the median where yields are rough; 0 or more. */
  litresPerYear: number;
  roughness: LoadSpread;
}

interface ZoneSource extends Source {
  zone: Zone;
}

/**
 * What one source released in one stretch of time, of one fluid: the smallest piece that findings can speak of apart.
 * Pieces are independent gammas, since a gamma process has independent increments: given θ and the yield, what was
 * released in one stretch says nothing of the next. The sum of gammas of one scale is a gamma whose shape is the sum of theirs,
 * which is why pieces that nothing tells apart can be one cell.
 */
export interface Cell {
  source: number;
  /** Part of the source's yield, years included: the shape is yield × this ÷ θ. */
  years: number;
  /** Findings whose window and fluid take this cell in. */
  seenBy: number[];
}

/** The findings laid out against everything that can explain them. What an engine needs, and no more of the map. */
export interface Evidence {
  findings: Observation[];
  sources: Source[];
  cells: Cell[];
  /** For each finding and source: what of a litre released there counts at the finding, rain included, by default `holds`. */
  delivered: Float64Array[];
  /** Rain's part of `delivered`, which does not change with `holds`. */
  rained: Float64Array[];
  /** For each finding and source: minutes that its oil takes to the place, where the window is shorter than a day; else 0. */
  minutes: Float64Array[];
}

/** Wash-off with rain, 1 − e^(−0.18·mm): 90 % by 13 mm in an hour (Huber and Heaney 1982, as a river-basin manual quotes it). */
const WASH_OFF_PER_MM = 0.18;
/** Zones that send their oil down without rain, where the map does not say (`dryFlow`). A guess. */
const flowsDry = ({ properties }: Zone) => properties.dryFlow ?? properties.activity === 'wash-bay';

/**
 * How much of a zone's oil the rain of a window (mm, 0 or more) brings on its way, 0 to 1: all of it where the rain is not known, none in a
 * dry window unless the zone flows dry. It is a part of the mean: a storm that washed one zone and not another is not told apart. O(1).
 */
export function washedOff(zone: Zone, rainMm: number | undefined): number {
  return rainMm === undefined || flowsDry(zone) ? 1 : -Math.expm1(-WASH_OFF_PER_MM * rainMm);
}

/**
 * Fraction of a zone's oil that enters the place of a finding: a structure, or the zone's own ground; all of it for the whole yard
 * (`at` null). By id, with default `holds`, without rain; 0 where no way leads there. O(edges upstream) now, O(1) when asked.
 */
export function deliveryTo(drainage: Drainage, at: string | null): (id: string) => number {
  if (at === null) return () => 1;
  if (drainage.map.zones.some(({ id }) => id === at)) return (id) => (id === at ? 1 : 0);
  const { delivered } = upstreamOf(drainage, flowIndexOf(drainage, at));
  return (id) => delivered[flowIndexOf(drainage, id)];
}

/**
 * Lays the findings out: time is cut at every `since` and `seenAt`, zones into the fluids that findings name, so that
 * each finding is a sum over cells. Cells that no finding sees are left out. O(findings × (edges + zones × cuts)).
 *
 * A cell that nobody looked at has no bearing on the rest, being independent of it. Zones whose oil gets to no finding
 * are no sources at all. With the cells, every finding is v = Σ delivery × litres over the cells it sees, a linear
 * function of independent gammas, and all that comes after rests on that form.
 *
 * `unmappedShare`, 0 or more, is the yield of what is not on the map as a part of the rest (see `unmappedSources`).
 */
export function layOut(drainage: Drainage, findings: readonly Observation[], unmappedShare: number): Evidence {
  const { map } = drainage;
  const reach = findings.map(({ at }) => deliveryTo(drainage, at));
  const zones: ZoneSource[] = map.zones
    .filter(({ id }) => reach.some((delivered) => delivered(id) > 0))
    .map((zone) => ({
      zone,
      at: null,
      litresPerYear: expectedLitresPerYear(zone),
      roughness: loadSpreadOf(map, zone),
    }));
  const sources = [...zones, ...unmappedSources(drainage, { findings, zones, reach, unmappedShare })];
  // What lies on a zone's own ground needs no rain to be there.
  const rained = findings.map(({ at, source }) =>
    Float64Array.from(sources, ({ zone }) => (zone && zone.id !== at ? washedOff(zone, source.rainMm) : 1)),
  );
  const delivered = findings.map(({ at }, finding) =>
    Float64Array.from(sources, (source, index) =>
      source.zone ? reach[finding](source.zone.id) * rained[finding][index] : source.at === at ? 1 : 0,
    ),
  );
  const minutes = findings.map((finding, index) =>
    minutesTo(drainage, finding, { sources, delivered: delivered[index] }),
  );
  return {
    findings: [...findings],
    sources,
    cells: cutCells(findings, { sources, delivered, minutes }),
    delivered,
    rained,
    minutes,
  };
}

/** In windows shorter than this, in years, a zone counts only with what can have arrived. */
const DAY_YEARS = 1 / 365.25;
/** L/s at which a spill is taken to run: 60 L a minute, a guess on the fast side, so that no zone is ruled out in error. */
const RUNS_LPS = 1;

/** How long each zone's oil takes to a structure that was looked at within a day of the last clean look; in the rain of that day. */
function minutesTo(
  drainage: Drainage,
  { at, years, source }: Observation,
  { sources, delivered }: { sources: readonly Source[]; delivered: Float64Array },
): Float64Array {
  const isStructure = drainage.map.structures.some(({ id }) => id === at);
  if (at === null || !isStructure || years >= DAY_YEARS) return new Float64Array(sources.length);
  const rainMmPerH = (source.rainMm ?? 0) / (years * HOURS_PER_YEAR);
  return Float64Array.from(sources, ({ zone }, index) =>
    zone && delivered[index] > 0 ? minutesFromZone(drainage, zone, { at, flowLps: RUNS_LPS, rainMmPerH }) : 0,
  );
}

const HOURS_PER_YEAR = MS_PER_YEAR / 3_600_000;
const MS_PER_MINUTE = 60_000;

interface UnmappedFacts {
  findings: readonly Observation[];
  zones: readonly ZoneSource[];
  reach: readonly ((id: string) => number)[];
  unmappedShare: number;
}

/**
 * Each structure with a finding has its own, whatever the number of findings there. Its yield is the share of what is expected
 * to arrive, or, where that is little, of what an inlet of this yard gets on average: else a lid far from any zone could not have
 * oil that the map does not explain. It comes out at that structure alone, with delivery 1, and is seen nowhere below: a source
 * off the map that feeds several structures is taken for several.
 */
function unmappedSources({ map }: Drainage, { findings, zones, reach, unmappedShare }: UnmappedFacts): Source[] {
  const structures = new Map(map.structures.map((structure) => [structure.id, structure]));
  const total = map.zones.reduce((sum, zone) => sum + expectedLitresPerYear(zone), 0);
  const inlets = map.structures.filter(({ kind }) => INLET_KINDS.includes(kind)).length;
  const first = new Map<string, number>();
  findings.forEach(({ at }, index) => {
    if (at !== null && structures.has(at) && !first.has(at)) first.set(at, index);
  });
  return [...first].map(([at, index]) => {
    const arriving = zones.reduce((sum, { zone, litresPerYear }) => sum + reach[index](zone.id) * litresPerYear, 0);
    const litresPerYear = unmappedShare * Math.max(arriving, total / Math.max(1, inlets));
    return { zone: null, at, litresPerYear, roughness: { activity: 0, own: 0 } };
  });
}

/**
 * Pieces of one source that the same findings see are one cell: their shapes add up. A finding sees what was released in
 * its window early enough to have arrived. Between two cuts that follow each other no window begins or ends, so each
 * finding sees such a stretch whole or not at all. A finding with a fluid sees that fluid of zones; of an unmapped source
 * it sees everything, since what that releases is not known.
 */
function cutCells(
  findings: readonly Observation[],
  { sources, delivered, minutes }: Pick<Evidence, 'sources' | 'delivered' | 'minutes'>,
): Cell[] {
  const named = [...new Set(findings.flatMap(({ source }) => (source.fluid === undefined ? [] : [source.fluid])))];
  const cells = new Map<string, Cell>();
  sources.forEach(({ zone, litresPerYear }, source) => {
    if (litresPerYear === 0) return;
    const until = findings.map(({ seenAtMs }, index) => seenAtMs - MS_PER_MINUTE * minutes[index][source]);
    const cuts = [...new Set([...findings.map(({ sinceMs }) => sinceMs), ...until])].sort((a, b) => a - b);
    for (const { fluid, share } of zone ? fluidShares(zone, named) : [{ fluid: null, share: 1 }]) {
      for (let cut = 1; cut < cuts.length; cut++) {
        const seenBy = findings.flatMap((finding, index) => {
          const isInWindow = finding.sinceMs <= cuts[cut - 1] && cuts[cut] <= until[index];
          const isItsFluid = !zone || finding.source.fluid === undefined || finding.source.fluid === fluid;
          return isInWindow && isItsFluid && delivered[index][source] > 0 ? [index] : [];
        });
        if (seenBy.length === 0 || share === 0) continue;
        const key = `${source} ${seenBy.join()}`;
        const cell = cells.get(key) ?? { source, years: 0, seenBy };
        cell.years += (share * (cuts[cut] - cuts[cut - 1])) / MS_PER_YEAR;
        cells.set(key, cell);
      }
    }
  });
  return [...cells.values()];
}
