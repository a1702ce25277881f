import Flatbush from 'flatbush';
import { editDistance } from '../algorithms/index.ts';
import { type Told, told } from '../catalogue/index.ts';
import { plain } from './meant.ts';
import { lengthOf, type Point, segmentsMeet } from './measure.ts';
import { isOfKind, type Link, polygonsOf, type SiteMap } from './model.ts';
import { type Problem, problem, show } from './problem.ts';
import { respondingProblems } from './responding.ts';
import { featureSchemas, type Position } from './schema.ts';
import { divideShares, SHARE_TOLERANCE } from './shares.ts';
import { isKind } from './vocabulary.ts';

/** A link's end drawn farther than this from its structure is reported, in metres. */
const END_TOLERANCE_M = 5;
/** A feature farther than this from the middle of the map is reported, in metres. */
const FAR_M = 50_000;

/**
 * What is odd about a map that could be read: open rings, zones without ground, links to themselves, parallel links,
 * shares that do not add up, pipes that run uphill, links that cross the property line, ends drawn elsewhere, features
 * far from the rest, and what would spoil a response to a spill. What needs the drainage graph (loops, dead ends, what goes round the separators) is found there.
 * O(features + crossings · log(line segments)).
 */
export function checkSiteMap(map: SiteMap): Problem[] {
  return [
    ...zoneShapes(map),
    ...linkPairs(map),
    ...linkShares(map),
    ...zoneShares(map),
    ...slopes(map),
    ...crossings(map),
    ...endsElsewhere(map),
    ...farApart(map),
    ...misspelt(map),
    ...respondingProblems(map),
  ];
}

/** Unlisted properties that look like a listed one: they are kept, but nobody reads them. */
function misspelt(map: SiteMap): Problem[] {
  return map.file.features.flatMap(({ id, properties }) => {
    const listed = isKind(properties?.kind) ? Object.keys(featureSchemas[properties.kind].shape.properties.shape) : [];
    return Object.keys(properties ?? {}).flatMap((key) => {
      const meant = listed.includes(key)
        ? undefined
        : listed.find((word) => looksLike(key, word) && !Object.hasOwn(properties, word));
      if (meant === undefined) return [];
      const found = show(key);
      const [message, cure] = [told('map.misspelt', { key: found, meant }), told('map.write-meant', { meant })];
      return [problem('misspelt', { id, field: key }, { message, found, allowed: meant, cure })];
    });
  });
}

function looksLike(key: string, word: string): boolean {
  if (key.length > 40) return false;
  return plain(key) === plain(word) || (word.length > 4 && editDistance(plain(key), plain(word)) === 1);
}

function zoneShapes(map: SiteMap): Problem[] {
  return map.zones.flatMap(({ id, geometry, areaM2 }) => {
    const problems: Problem[] = [];
    const rings = polygonsOf(geometry).flat();
    if (rings.some((ring) => ring[0][0] !== ring[ring.length - 1][0] || ring[0][1] !== ring[ring.length - 1][1])) {
      problems.push(
        problem(
          'open-ring',
          { id, field: 'geometry.coordinates' },
          {
            message: told('map.open-ring'),
            allowed: told('map.closed-ring'),
            cure: told('map.close-ring'),
          },
        ),
      );
    }
    if (areaM2 === 0) {
      problems.push(
        problem(
          'no-area',
          { id, field: 'geometry.coordinates' },
          { message: told('map.no-area'), cure: told('map.draw-zone-again') },
        ),
      );
    }
    return problems;
  });
}

function linkPairs(map: SiteMap): Problem[] {
  const first = new Map<string, string>();
  return map.links.flatMap(({ id, from, to }): Problem[] => {
    if (from === to) {
      const words = { message: told('map.self-link', { from }), cure: told('map.mend-self-link') };
      return [problem('self-link', { id, field: 'to' }, words)];
    }
    const pair = JSON.stringify([from, to]);
    const other = first.get(pair);
    if (other === undefined) {
      first.set(pair, id);
      return [];
    }
    const words = { message: told('map.parallel-links', { other, from, to }), cure: told('map.delete-twin') };
    return [problem('parallel-links', { id, field: 'to' }, words)];
  });
}

/** The links that leave each structure, self-links left out. */
export function linksByStart(map: SiteMap): Map<string, Link[]> {
  const byStart = new Map<string, Link[]>();
  for (const link of map.links) {
    if (link.from === link.to) continue;
    const links = byStart.get(link.from);
    if (links) links.push(link);
    else byStart.set(link.from, [link]);
  }
  return byStart;
}

/** What stated shares are said to be where they add up to more than 1, and to less. */
interface SharesTold {
  over(sum: string): Told;
  under(sum: string): Told;
}

function shareProblem(
  place: { id: string; field: string },
  stated: readonly (number | undefined)[],
  { over, under }: SharesTold,
): Problem[] {
  const { stated: sum, allStated } = divideShares(stated);
  const found = String(Number(sum.toFixed(4)));
  const allowed = told('map.shares-together');
  if (sum > 1 + SHARE_TOLERANCE) {
    return [
      problem('shares-over', place, { message: over(found), found, allowed, cure: told('map.mend-shares-over') }),
    ];
  }
  if (allStated && sum < 1 - SHARE_TOLERANCE) {
    return [
      problem('shares-under', place, { message: under(found), found, allowed, cure: told('map.mend-shares-under') }),
    ];
  }
  return [];
}

function linkShares(map: SiteMap): Problem[] {
  return [...linksByStart(map)].flatMap(([id, leaving]) => {
    const links = leaving.map((link) => link.id).join(', ');
    const stated = leaving.map((link) => link.properties.share);
    return shareProblem({ id, field: 'share' }, stated, {
      over: (sum) => told('map.link-shares-over', { links, sum }),
      under: (sum) => told('map.link-shares-under', { links, sum }),
    });
  });
}

const INLET_SHARES: SharesTold = {
  over: (sum) => told('map.inlet-shares-over', { sum }),
  under: (sum) => told('map.inlet-shares-under', { sum }),
};

function zoneShares(map: SiteMap): Problem[] {
  return map.zones.flatMap(({ id, properties: { drainsTo } }) => {
    const place = { id, field: 'drainsTo' };
    return Array.isArray(drainsTo)
      ? shareProblem(
          place,
          drainsTo.map((inlet) => inlet.share),
          INLET_SHARES,
        )
      : [];
  });
}

function slopes(map: SiteMap): Problem[] {
  const inverts = new Map(map.structures.map(({ id, properties }) => [id, properties.invert]));
  return map.links.flatMap(({ id, kind, from, to, properties }) => {
    const start = properties.fromInvert ?? inverts.get(from);
    const end = properties.toInvert ?? inverts.get(to);
    if (properties.slope !== undefined && properties.slope < 0) {
      const found = String(properties.slope);
      const message = told('map.uphill-slope', { kind, slope: found });
      const words = { message, found, allowed: told('map.slope'), cure: told('map.mend-slope') };
      return [problem('uphill', { id, field: 'slope' }, words)];
    }
    if (start === undefined || end === undefined || end <= start) return [];
    const levels = { start: String(start), end: String(end) };
    return [
      problem(
        'uphill',
        { id, field: 'toInvert' },
        {
          message: told('map.uphill-inverts', { kind, from, to, ...levels }),
          found: told('map.in-metres', { metres: levels.end }),
          allowed: told('map.invert-at-most', { start: levels.start }),
          cure: told('map.mend-inverts'),
        },
      ),
    ];
  });
}

type Segment = readonly [Point, Point];

const pointOf = ([lon, lat]: Position): Point => [lon, lat];

function segmentsOf(path: readonly Position[]): Segment[] {
  return path.slice(1).map((to, at) => [pointOf(path[at]), pointOf(to)]);
}

const boxOf = ([a, b]: Segment): [number, number, number, number] => [
  Math.min(a[0], b[0]),
  Math.min(a[1], b[1]),
  Math.max(a[0], b[0]),
  Math.max(a[1], b[1]),
];

function crossings(map: SiteMap): Problem[] {
  const lines = map.others.flatMap((feature): Segment[] => {
    if (!isOfKind(feature, 'property-line')) return [];
    const { geometry } = feature;
    return geometry.type === 'LineString'
      ? segmentsOf(geometry.coordinates)
      : polygonsOf(geometry).flat().flatMap(segmentsOf);
  });
  if (lines.length === 0) return [];
  const index = new Flatbush(lines.length);
  for (const segment of lines) index.add(...boxOf(segment));
  index.finish();
  const crosses = (segment: Segment) => index.search(...boxOf(segment)).some((at) => segmentsMeet(segment, lines[at]));
  return map.links
    .filter((link) => segmentsOf(link.path).some(crosses))
    .map(({ id, kind }) =>
      problem(
        'crosses-property-line',
        { id, field: 'geometry' },
        { message: told('map.crosses-property-line', { kind }), cure: told('map.set-ownership') },
      ),
    );
}

function endsElsewhere(map: SiteMap): Problem[] {
  const positions = new Map(map.structures.map(({ id, position }) => [id, position]));
  return map.links.flatMap(({ id, from, to, path }) => {
    const [start, end] = [positions.get(from), positions.get(to)];
    if (!start || !end) return [];
    const [atStart, atEnd] = [lengthOf([path[0], start]), lengthOf([path[path.length - 1], end])];
    if (Math.max(atStart, atEnd) <= END_TOLERANCE_M) return [];
    const turned = Math.max(lengthOf([path[0], end]), lengthOf([path[path.length - 1], start])) <= END_TOLERANCE_M;
    const message = turned
      ? told('map.drawn-reversed', { from, to })
      : told('map.drawn-away', { away: { metres: Math.max(atStart, atEnd) }, at: atStart > atEnd ? from : to });
    return [problem('end-elsewhere', { id, field: 'geometry' }, { message, cure: told('map.draw-its-way') })];
  });
}

function farApart(map: SiteMap): Problem[] {
  const places = [
    ...map.zones.map(({ id, geometry }) => ({ id, position: polygonsOf(geometry)[0][0][0] })),
    ...map.structures.map(({ id, position }) => ({ id, position })),
    ...map.links.map(({ id, path }) => ({ id, position: path[0] })),
  ];
  if (places.length === 0) return [];
  const middle = [0, 1].map(
    (axis) => places.map(({ position }) => position[axis]).sort((a, b) => a - b)[places.length >> 1],
  );
  const far = places.filter(({ position }) => lengthOf([middle, position]) > FAR_M);
  if (far.length === 0) return [];
  const message = told('map.far-apart', { others: far.length - 1, km: FAR_M / 1000 });
  return [
    problem(
      'far-apart',
      { id: far[0].id, field: 'geometry.coordinates' },
      {
        message,
        found: far
          .slice(0, 5)
          .map(({ id }) => id)
          .join(', '),
        cure: told('map.mend-far-apart'),
      },
    ),
  ];
}
