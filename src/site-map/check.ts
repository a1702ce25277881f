import Flatbush from 'flatbush';
import { editDistance } from '../algorithms/index.ts';
import { plain } from './meant.ts';
import { lengthOf, type Point, segmentsMeet } from './measure.ts';
import { isOfKind, type Link, polygonsOf, type SiteMap } from './model.ts';
import { type Problem, problem, show } from './problem.ts';
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
 * far from the rest. What needs the drainage graph (loops, dead ends, what goes round the separators) is found there.
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
      const message = `${show(key)} is not read; it looks like "${meant}"`;
      return [
        problem(
          'misspelt',
          { id, field: key },
          { message, found: show(key), allowed: meant, cure: `write "${meant}" if that is what was meant` },
        ),
      ];
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
            message: 'a ring does not end where it starts; it was closed for the computation',
            allowed: 'a last position equal to the first',
            cure: 'close the ring',
          },
        ),
      );
    }
    if (areaM2 === 0) {
      problems.push(
        problem(
          'no-area',
          { id, field: 'geometry.coordinates' },
          {
            message: 'its polygon has no area, so it is taken to release no oil',
            cure: 'draw the zone again, or state areaM2',
          },
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
      const message = `it leads from ${from} to itself and is left out of the computation`;
      return [
        problem(
          'self-link',
          { id, field: 'to' },
          { message, cure: 'write the structure it really leads to, or delete it' },
        ),
      ];
    }
    const pair = JSON.stringify([from, to]);
    const other = first.get(pair);
    if (other === undefined) {
      first.set(pair, id);
      return [];
    }
    const message = `it runs beside ${other}, from ${from} to ${to}; both are counted`;
    return [
      problem('parallel-links', { id, field: 'to' }, { message, cure: 'delete one of them if it was drawn twice' }),
    ];
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

function shareProblem(id: string, field: string, ways: string, stated: readonly (number | undefined)[]): Problem[] {
  const { stated: sum, allStated } = divideShares(stated);
  const found = String(Number(sum.toFixed(4)));
  if (sum > 1 + SHARE_TOLERANCE) {
    const message = `the shares of ${ways} add up to ${found}; each was divided by that`;
    return [
      problem(
        'shares-over',
        { id, field },
        { message, found, allowed: '1 together', cure: 'write shares that add up to 1' },
      ),
    ];
  }
  if (allStated && sum < 1 - SHARE_TOLERANCE) {
    const message = `the shares of ${ways} add up to ${found}; the rest is taken to leave the map`;
    return [
      problem(
        'shares-under',
        { id, field },
        {
          message,
          found,
          allowed: '1 together',
          cure: 'write shares that add up to 1, or draw the way that is missing',
        },
      ),
    ];
  }
  return [];
}

function linkShares(map: SiteMap): Problem[] {
  return [...linksByStart(map)].flatMap(([id, links]) =>
    shareProblem(
      id,
      'share',
      `its outgoing links ${links.map((link) => link.id).join(', ')}`,
      links.map((link) => link.properties.share),
    ),
  );
}

function zoneShares(map: SiteMap): Problem[] {
  return map.zones.flatMap(({ id, properties: { drainsTo } }) =>
    Array.isArray(drainsTo)
      ? shareProblem(
          id,
          'drainsTo',
          'drainsTo',
          drainsTo.map((inlet) => inlet.share),
        )
      : [],
  );
}

function slopes(map: SiteMap): Problem[] {
  const inverts = new Map(map.structures.map(({ id, properties }) => [id, properties.invert]));
  return map.links.flatMap(({ id, kind, from, to, properties }) => {
    const start = properties.fromInvert ?? inverts.get(from);
    const end = properties.toInvert ?? inverts.get(to);
    if (properties.slope !== undefined && properties.slope < 0) {
      const message = `this ${kind} has a slope of ${properties.slope}, so it runs uphill`;
      return [
        problem(
          'uphill',
          { id, field: 'slope' },
          {
            message,
            found: String(properties.slope),
            allowed: '0 or more',
            cure: 'turn from and to round, or mend the slope',
          },
        ),
      ];
    }
    if (start === undefined || end === undefined || end <= start) return [];
    const message = `this ${kind} runs uphill: invert ${start} m at ${from}, ${end} m at ${to}`;
    return [
      problem(
        'uphill',
        { id, field: 'toInvert' },
        {
          message,
          found: `${end} m`,
          allowed: `${start} m or lower`,
          cure: 'turn from and to round, or mend the inverts',
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
        {
          message: `this ${kind} crosses the property line`,
          cure: 'know who owns what lies past the line, and set "ownership" on it',
        },
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
      ? `it is drawn from ${to} to ${from}, but says from ${from} to ${to}; what it says is used`
      : `it is drawn ${Math.max(atStart, atEnd).toFixed(0)} m away from ${atStart > atEnd ? from : to}`;
    return [
      problem(
        'end-elsewhere',
        { id, field: 'geometry' },
        { message, cure: 'make sure which way it runs, and draw it so' },
      ),
    ];
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
  const message = `${far.length === 1 ? 'it lies' : `it and ${far.length - 1} more lie`} over ${FAR_M / 1000} km from the middle of the map`;
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
        cure: 'mend the coordinates, or keep one map for each yard',
      },
    ),
  ];
}
