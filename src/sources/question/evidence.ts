import { type Drainage, minutesFromZone, placeAt, upstreamOf } from '../../drainage/index.ts';
import { INLET_KINDS, type Zone } from '../../site-map/index.ts';
import { MS_PER_YEAR } from '../findings/findings.ts';
import type { Observation } from './observation.ts';
import { expectedLitresPerYear, fluidShares, roughnessOf, type YieldRoughness } from './yields.ts';

/** Something oil can have come from: a zone, or what is not on the map at one structure. */
export interface Source {
  /** null: not on the map. */
  zone: Zone | null;
  /** The structure that an unmapped source comes out at; null for a zone. */
  at: string | null;
  litresPerYear: number;
  roughness: YieldRoughness;
}

interface ZoneSource extends Source {
  zone: Zone;
}

/**
 * What one source released in one stretch of time, of one fluid: the smallest piece that findings can speak of apart.
 * Pieces are independent gammas, since a gamma process has independent increments.
 */
export interface Cell {
  source: number;
  /** Part of the source's yield, years included: the shape is yield × this ÷ θ. */
  years: number;
  /** Findings whose window and fluid take this cell in. */
  seenBy: number[];
}

/** The findings laid out against everything that can explain them. */
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

/** How much of a zone's oil the rain of a window brings on its way: all of it where the rain is not known. */
export function washedOff(zone: Zone, rainMm: number | undefined): number {
  return rainMm === undefined || flowsDry(zone) ? 1 : -Math.expm1(-WASH_OFF_PER_MM * rainMm);
}

/** Fraction of a zone's oil that enters the place of a finding: a structure, or the zone's own ground; all of it for the whole yard. */
export function deliveryTo(drainage: Drainage, at: string | null): (id: string) => number {
  if (at === null) return () => 1;
  if (drainage.map.zones.some(({ id }) => id === at)) return (id) => (id === at ? 1 : 0);
  const { delivered } = upstreamOf(drainage, placeAt(drainage, at));
  return (id) => delivered[placeAt(drainage, id)];
}

/**
 * Lays the findings out: time is cut at every `since` and `seenAt`, zones into the fluids that findings name, so that
 * each finding is a sum over cells. Cells that no finding sees are left out. O(findings × (edges + zones × cuts)).
 */
export function layOut(drainage: Drainage, findings: readonly Observation[], unmappedShare: number): Evidence {
  const { map } = drainage;
  const reach = findings.map(({ at }) => deliveryTo(drainage, at));
  const zones: ZoneSource[] = map.zones
    .filter(({ id }) => reach.some((delivered) => delivered(id) > 0))
    .map((zone) => ({ zone, at: null, litresPerYear: expectedLitresPerYear(zone), roughness: roughnessOf(map, zone) }));
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

/** Each structure with a finding has its own, whatever the number of findings there. */
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
 * its window early enough to have arrived.
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
