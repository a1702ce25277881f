import type { Point } from '../measure.ts';
import { distanceM, indexPoints } from './near.ts';
import { type Split, splitsAt } from './splits.ts';

/** A structure this near to the middle of a line counts as drawn on it, in metres. Farther off it may well pass by. */
const ON_LINE_M = 0.01;

/** Where lines meet, in a metre frame. Node numbers: the structures first, then the made ones in the order of `made`. */
export interface Joints {
  /** The node of each line end: 2 × line for where it starts, 2 × line + 1 for where it ends. */
  nodeOfEnd: Int32Array;
  /** For each made node the line end it stands at. */
  made: number[];
  /** Where nodes cut lines in two. */
  splits: Split[];
  /** How each line end found its node. */
  meetingOfEnd: Meeting[];
}

export type Meeting = 'structure' | 'end' | 'middle' | 'free';

export interface JointsInput {
  structures: readonly Point[];
  /** Each line's positions, two or more. */
  paths: readonly (readonly Point[])[];
  /** How far apart what meets may be drawn, in metres, above 0. */
  snapM: number;
}

/**
 * Finds what meets within the tolerance, in this order of strength: a line end and the nearest structure; line ends
 * among themselves (whoever is within the tolerance of another shares its node, so a chain of ends shares one); a line
 * end and the middle of another line, which is split there. The other ends stay free, each with a node of its own.
 * A structure drawn on the middle of a line splits it too.
 * The order of the lines changes the numbers and nothing else. O((structures + positions) · log).
 */
export function findJoints({ structures, paths, snapM }: JointsInput): Joints {
  const ends = paths.flatMap((path) => [path[0], path[path.length - 1]]);
  const nodeOfEnd = nearestStructures(ends, structures, snapM);
  const meetingOfEnd: Meeting[] = Array.from(nodeOfEnd, (node) => (node < 0 ? 'free' : 'structure'));
  const made: number[] = [];
  const besideOf = nodesBeside(ends, nodeOfEnd.slice(), snapM);
  for (const cluster of clustersOf(ends, nodeOfEnd, snapM)) {
    const beside = besideOf(cluster);
    const node = beside ?? structures.length + made.length;
    if (beside === undefined) made.push(cluster[0]);
    for (const end of cluster) {
      nodeOfEnd[end] = node;
      if (cluster.length > 1 || beside !== undefined) meetingOfEnd[end] = 'end';
    }
  }
  const loose = [...ends.keys()].filter((end) => nodeOfEnd[end] >= structures.length);
  const sites = [
    ...loose.map((end) => ({ node: nodeOfEnd[end], point: ends[end], withinM: snapM })),
    ...structures.map((point, node) => ({ node, point, withinM: Math.min(snapM, ON_LINE_M) })),
  ];
  const splits = splitsAt(sites, { nodeOfEnd, paths });
  const splitting = new Set(splits.map(({ node }) => node));
  for (const end of loose) {
    if (meetingOfEnd[end] === 'free' && splitting.has(nodeOfEnd[end])) meetingOfEnd[end] = 'middle';
  }
  return { nodeOfEnd, made, splits, meetingOfEnd };
}

/** For each end the nearest structure within the tolerance, or -1. */
function nearestStructures(ends: readonly Point[], structures: readonly Point[], snapM: number): Int32Array {
  const index = indexPoints(structures);
  return Int32Array.from(ends, ([x, y]) => index?.neighbors(x, y, 1, snapM)[0] ?? -1);
}

/**
 * Finds the structure of the nearest line end that was itself snapped, for a group of ends that no structure is near
 * enough to. Undefined where there is none within the tolerance.
 */
function nodesBeside(ends: readonly Point[], nodeOfEnd: Int32Array, snapM: number) {
  const snapped = [...ends.keys()].filter((end) => nodeOfEnd[end] >= 0);
  const index = indexPoints(snapped.map((end) => ends[end]));
  return (cluster: readonly number[]): number | undefined => {
    let [node, leastM]: [number | undefined, number] = [undefined, Number.POSITIVE_INFINITY];
    for (const end of cluster) {
      const [at] = index?.neighbors(...ends[end], 1, snapM) ?? [];
      if (at === undefined || distanceM(ends[snapped[at]], ends[end]) >= leastM) continue;
      leastM = distanceM(ends[snapped[at]], ends[end]);
      node = nodeOfEnd[snapped[at]];
    }
    return node;
  };
}

/** Ends without a node, in groups in which each lies within the tolerance of another (single linkage). */
function clustersOf(ends: readonly Point[], nodeOfEnd: Int32Array, snapM: number): number[][] {
  const places = new Map<string, number[]>();
  for (const [end, point] of ends.entries()) {
    if (nodeOfEnd[end] >= 0) continue;
    const key = point.join(' ');
    const here = places.get(key);
    if (here) here.push(end);
    else places.set(key, [end]);
  }
  const groups = [...places.values()];
  const parents = groups.map((_, at) => at);
  const points = groups.map(([end]) => ends[end]);
  const index = indexPoints(points);
  for (const [at, [x, y]] of points.entries()) {
    for (const other of index?.search(x - snapM, y - snapM, x + snapM, y + snapM) ?? []) {
      if (other > at && distanceM(points[at], points[other]) <= snapM) unite(parents, at, other);
    }
  }
  const clusters = new Map<number, number[]>();
  for (const [at, group] of groups.entries()) {
    const cluster = clusters.get(rootOf(parents, at));
    if (cluster) for (const end of group) cluster.push(end);
    else clusters.set(at, group);
  }
  return [...clusters.values()];
}

function rootOf(parents: number[], at: number): number {
  let here = at;
  while (parents[here] !== here) {
    parents[here] = parents[parents[here]];
    here = parents[here];
  }
  return here;
}

/** The root of two groups is the one that came first. */
function unite(parents: number[], a: number, b: number): void {
  const [rootA, rootB] = [rootOf(parents, a), rootOf(parents, b)];
  parents[Math.max(rootA, rootB)] = Math.min(rootA, rootB);
}
