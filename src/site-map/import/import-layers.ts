import { told } from '../../catalogue/index.ts';
import type { MapFile } from '../model.ts';
import { hasErrors, type Problem, problem } from '../problem.ts';
import type { Activity } from '../vocabulary.ts';
import { readBoundary } from './boundary.ts';
import { type Layer, readLayers } from './layers.ts';
import { buildNetwork, type Network } from './network.ts';
import type { ImportRules } from './rules.ts';
import { takeFeatures } from './take.ts';
import { INLET_RADIUS_M, inletZones } from './zones.ts';

/** How far apart what meets may be drawn where nothing else is said, in metres. */
export const SNAP_M = 0.5;

export interface ImportOptions extends ImportRules {
  /** The site's name. */
  name?: string;
  /** Metres, above 0; default 0.5. */
  snapM?: number;
  /** Whether every catch basin gets a zone, and how; left out, no zones are made. */
  zones?: ZoneOptions;
}

export interface ZoneOptions {
  /** What is done on the ground, as long as nobody has said; default "other". */
  activity?: Activity;
  /** Metres, above 0, or Infinity; default 60, and no limit where a boundary is given. */
  radiusM?: number;
  /** Polygons that hold all ground; left out, the convex hull of the structures, 10 m wider. */
  boundary?: Layer;
  /** What a zone is called that drains to an inlet; left out, zones have no names and are called by their ids. */
  nameOf?: (inlet: string) => string;
}

export interface Imported {
  file: MapFile;
  /** Errors: nothing useful came of it. Notes: every guess, and what was left out. */
  problems: Problem[];
  /** Features read, taken and left out (read = taken + left out), what was made of them, and how line ends met. */
  counts: Record<string, number>;
}

/**
 * Makes a site map of GIS layers of points and lines (GeoJSON, WGS 84, in any mixture).
 *
 * Points become structures and lines become links as the rules say; every part of a multi-part line is a link, and
 * the way it was drawn is the way it flows. What meets within the tolerance is joined (see `findJoints`), structures
 * that are missing are made, and every guess is listed as `import-guess` and everything not taken as `import-left-out`.
 * The source's own properties stand untouched under each feature's `source`. The map that comes back can be read
 * again without errors. The same input gives the same map; nothing is thrown for bad input.
 * O((points + positions) · log + features × rules); some 140,000 lines take seconds.
 */
export function importLayers(layers: readonly Layer[], options: ImportOptions): Imported {
  const { name, snapM = SNAP_M } = options;
  const { features: sources, problems } = readLayers(layers);
  const taking = takeFeatures(sources, options);
  const network = buildNetwork(taking, snapM);
  const zoned = makeZones(network, options.zones);
  const features = [...zoned.zones, ...network.features];
  const isEmpty = features.length === 0 && !hasErrors([...problems, ...taking.problems]);
  return {
    file: {
      type: 'FeatureCollection',
      site: { format: 'oilshed-site', version: 1, ...(name === undefined ? {} : { name }) },
      features,
    },
    problems: [
      ...problems,
      ...(isEmpty ? [nothingTaken(sources.length)] : []),
      ...taking.problems,
      ...network.problems,
      ...zoned.problems,
    ],
    counts: {
      read: sources.length,
      taken: taking.taken,
      leftOut: taking.leftOut,
      zones: zoned.zones.length,
      structures: network.nodes.length,
      links: network.features.length - network.nodes.length,
      ...network.counts,
    },
  };
}

function makeZones({ nodes, ids }: Network, options: ZoneOptions | undefined): ReturnType<typeof inletZones> {
  if (!options) return { zones: [], problems: [] };
  const read: ReturnType<typeof readBoundary> = options.boundary ? readBoundary(options.boundary) : { problems: [] };
  if (hasErrors(read.problems)) return { zones: [], problems: read.problems };
  const { boundary } = read;
  const { nameOf, activity = 'other', radiusM = boundary ? Number.POSITIVE_INFINITY : INLET_RADIUS_M } = options;
  return inletZones({ structures: nodes, boundary, radiusM, activity, nameOf, ids });
}

function nothingTaken(read: number): Problem {
  const words = { message: told('import.nothing-taken', { count: read }), cure: told('import.say-kinds') };
  return problem('bad-file', { id: null, field: null }, words);
}
