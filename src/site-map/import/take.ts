import { isTold, type Told, told } from '../../catalogue/index.ts';
import { type Problem, problem } from '../problem.ts';
import type { Position } from '../schema.ts';
import { isLinkKind, type LinkKind, type StructureKind } from '../vocabulary.ts';
import { isOnGlobe, type Parts, partsOf, positionsOf } from './geometry.ts';
import { inLayer, middleOf, type SourceFeature } from './layers.ts';
import { LeftOut } from './left-out.ts';
import { noKind, notKept, offGlobeProblems, unusedRule } from './reasons.ts';
import type { ImportRules, KindRule } from './rules.ts';
import { failedRule, fittingRule } from './values.ts';

/** Parts farther than this from the middle of the layers are left out, in degrees: the metre frame does not reach them. */
const FAR_DEG = 15;

/** A part of a source feature that becomes a structure. `part` is 1, 2, 3 …, or null where the feature has one only. */
export interface TakenPoint {
  source: SourceFeature;
  part: number | null;
  kind: StructureKind;
  position: Position;
}

/** A part of a source feature that becomes a link, or several where it is split. */
export interface TakenLine {
  source: SourceFeature;
  part: number | null;
  kind: LinkKind;
  path: Position[];
}

export interface Taking {
  points: TakenPoint[];
  lines: TakenLine[];
  /** Source features with at least one part taken. */
  taken: number;
  leftOut: number;
  /** Longitude and latitude about which the layers lie; null when they have no sound position. */
  middle: Position | null;
  problems: Problem[];
}

/**
 * Chooses what becomes a structure or a link: the keep rules first, then the geometry, then the kind rules. Every
 * feature that is not taken is counted under its reason; every broken part is listed. O(positions + features × rules).
 */
export function takeFeatures(features: readonly SourceFeature[], rules: ImportRules): Taking {
  const taker = new Taker(rules, middleOf(features));
  for (const feature of features) taker.take(feature);
  return taker.taking();
}

type Shape = 'point' | 'line';

const BROKEN = [told('import.broken'), told('import.mend-broken')] as const;

class Taker {
  private readonly points: TakenPoint[] = [];
  private readonly lines: TakenLine[] = [];
  private readonly problems: Problem[] = [];
  private readonly leftOut = new LeftOut();
  private readonly used = new Set<KindRule>();
  private readonly kinds: { point: KindRule[]; line: KindRule[] };
  private readonly offGlobe: Told[] = [];
  private taken = 0;

  constructor(
    private readonly rules: ImportRules,
    private readonly middle: Position | null,
  ) {
    const isOfLines = ({ kind }: KindRule) => isLinkKind(kind);
    this.kinds = { point: rules.kinds.filter((rule) => !isOfLines(rule)), line: rules.kinds.filter(isOfLines) };
  }

  take(feature: SourceFeature): void {
    const failed = failedRule(feature.properties, this.rules.keep);
    if (failed) this.leave(feature, 'features', ...notKept(feature, failed));
    else this.takeKept(feature, partsOf(feature.geometry));
  }

  private takeKept(feature: SourceFeature, read: Parts): void {
    if (read.shape === 'broken') {
      this.reportFault(feature, read.reason);
      this.leave(feature, 'features', ...BROKEN);
    } else if (read.shape === 'other') {
      this.leave(feature, 'features', told('import.other-shape', { type: read.type }), told('import.draw-areas'));
    } else {
      const rules = this.kinds[read.shape];
      const rule = fittingRule(feature.properties, rules);
      if (rule) this.takeParts(feature, read, rule);
      else this.leave(feature, `${read.shape}s`, ...noKind(feature, read.shape, rules));
    }
  }

  private takeParts(source: SourceFeature, read: { shape: Shape; parts: unknown[] }, rule: KindRule): void {
    const { kind } = rule;
    this.used.add(rule);
    let sound = 0;
    read.parts.forEach((raw, at) => {
      const positions = this.soundPositions(source, read.shape, raw);
      if (positions === null) return;
      if (isTold(positions)) {
        const fault = positions;
        const part = String(at + 1);
        this.reportFault(source, read.parts.length > 1 ? told('import.in-part', { fault, part }) : fault);
        return;
      }
      sound++;
      const part = read.parts.length > 1 ? at + 1 : null;
      if (isLinkKind(kind)) this.lines.push({ source, part, kind, path: positions });
      else this.points.push({ source, part, kind, position: positions[0] });
    });
    if (sound > 0) this.taken++;
    else this.leave(source, `${read.shape}s`, ...BROKEN);
  }

  /** The positions of a part, or what is wrong with it; null when it is off the globe, which is reported later for all together. */
  private soundPositions(source: SourceFeature, shape: Shape, raw: unknown): Position[] | Told | null {
    const positions = positionsOf(shape, raw);
    if (isTold(positions)) return positions;
    if (!positions.every(isOnGlobe)) {
      this.offGlobe.push(inLayer(source));
      return null;
    }
    const [lon, lat] = this.middle ?? positions[0];
    const isFar = (each: Position) => Math.abs(each[1] - lat) > FAR_DEG || turnDeg(each[0], lon) > FAR_DEG;
    return positions.some(isFar) ? told('import.too-far', { degrees: FAR_DEG }) : positions;
  }

  private leave(feature: SourceFeature, what: 'points' | 'lines' | 'features', why: Told, cure: Told): void {
    this.leftOut.add({ layer: feature.layer, place: inLayer(feature), what, why, cure });
  }

  private reportFault(feature: SourceFeature, message: Told): void {
    const place = { id: inLayer(feature), field: 'geometry' };
    this.problems.push(problem('bad-geometry', place, { message, cure: told('import.mend-source') }));
  }

  taking(): Taking {
    const { points, lines, taken, middle } = this;
    const unused = this.rules.kinds.filter((rule) => !this.used.has(rule)).map(unusedRule);
    const off = offGlobeProblems(this.offGlobe, points.length + lines.length);
    const problems = [...this.problems, ...off, ...this.leftOut.problems(), ...unused];
    return { points, lines, taken, leftOut: this.leftOut.count, middle, problems };
  }
}

/** Degrees between two longitudes, the short way round. */
function turnDeg(a: number, b: number): number {
  const turn = Math.abs(a - b) % 360;
  return Math.min(turn, 360 - turn);
}
