import { logGammaDraw, type Random } from '../../src/algorithms/index.ts';
import { type Drainage, flowIndexOf, upstreamOf } from '../../src/drainage/index.ts';
import type { Structure, StructureKind } from '../../src/site-map/index.ts';
import { DEFAULT_MISREAD, DEFAULT_NOTICE_LITRES } from '../../src/sources/findings/findings.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { noticed } from '../../src/sources/model/likelihood.ts';
import type { Evidence } from '../../src/sources/question/evidence.ts';
import type { Counted } from '../../src/sources/question/observation.ts';
import { poseQuestion, type Question } from '../../src/sources/question/question.ts';

/** Where the truth comes from: the model's own prior, or a rougher world than the tool believes in. */
export type World = 'model' | 'rough';
/** How oil is released: θ as the model draws it, or far above, or far below what the yard releases in the window. */
export type Manner = 'model' | 'spill' | 'seepage';

export interface Setting {
  drainage: Drainage;
  at: string;
  world: World;
  manner: Manner;
  /** Lids looked into besides the amount found at the point. */
  looks: number;
}

export interface Simulated {
  question: Question;
  /** True part of each source in the oil at the point. */
  share: Float64Array;
  logTheta: number;
}

const DAY_MS = 24 * 3600 * 1000;
const WINDOW_DAYS = 90;
const WINDOW_YEARS = WINDOW_DAYS / 365.25;
/** Nobody asks where less than this came from: such draws are left out, by what was found and not by what is true. */
const LEAST_FOUND_LITRES = 0.1;
const MOST_TRIES = 100_000;
const AMOUNT_FACTOR = 1.3;
/** The model's prior of θ (src/sources/draws/draws.ts) and of what is off in a rough world. */
const THETA = { median: 2, factor: 4 };
const ROUGH_YIELD_FACTOR = 3;
const MISREAD = 0.05;
const SPILL_TIMES = 5;
const SEEPAGE_PARTS = 30;

const LID_KINDS: readonly StructureKind[] = ['catch-basin', 'trench-drain', 'manhole'];

/** Every lid that oil on its way to the point can pass, in the map's order. */
export function lidsAbove(drainage: Drainage, at: string): Structure[] {
  const { map } = drainage;
  const placeOf = (id: string) => flowIndexOf(drainage, id);
  const { reaches } = upstreamOf(drainage, placeOf(at));
  return map.structures.filter(({ id, kind }) => LID_KINDS.includes(kind) && id !== at && reaches[placeOf(id)] === 1);
}

/** A finding in a window of a quarter. Without `litres` it is a look. */
export function findingAt(
  at: string,
  { seen, litres = 0, misread }: { seen: 'amount' | 'clean' | 'oil'; litres?: number; misread?: number },
): Counted {
  const id = `F-${at}`;
  const window = { id, at, sinceMs: 0, seenAtMs: WINDOW_DAYS * DAY_MS, years: WINDOW_YEARS };
  const source = { id, at, since: '', seenAt: '' };
  if (seen === 'amount')
    return { ...window, seen, litres, factor: AMOUNT_FACTOR, source: { ...source, amount: { litres } } };
  const look = { seen, noticeLitres: DEFAULT_NOTICE_LITRES, misread: misread ?? DEFAULT_MISREAD[seen] };
  return { ...window, ...look, source: { ...source, seen } };
}

/** Some of the values, each as likely as any other. */
function some<T>(values: readonly T[], count: number, random: Random): T[] {
  const left = [...values];
  return Array.from({ length: Math.min(count, left.length) }, () => {
    const at = Math.floor(random.uniform() * left.length);
    return left.splice(at, 1)[0];
  });
}

/**
 * Draws a truth and what is found of it: an amount at the point and looks into lids taken at random. In the model's
 * own world a look is wrong 1 time in 20 and the tool knows it; in the rough one it keeps to its defaults.
 */
export function simulate(setting: Setting, random: Random): Simulated {
  const { drainage, at, world, looks } = setting;
  const lids = some(lidsAbove(drainage, at), looks, random);
  const drafts = [
    findingAt(at, { seen: 'amount', litres: 1 }),
    ...lids.map(({ id }) => findingAt(id, { seen: 'clean' })),
  ];
  const seed = Math.floor(random.uniform() * 2 ** 30);
  const question = poseQuestion(drainage, drafts, { at, seed });
  const { evidence, target } = question;
  const model = deliveryModel(drainage, evidence);
  for (let tries = 0; tries < MOST_TRIES; tries++) {
    const { holds, delivered } = model.at(Float64Array.from({ length: model.guessed }, () => random.normal()));
    const logTheta = Math.log(thetaOf(setting, evidence, random));
    const litres = released(evidence, { logTheta, world }, random);
    const entered = evidence.findings.map((_, finding) =>
      evidence.cells.reduce(
        (sum, { source, seenBy }, cell) =>
          sum + (seenBy.includes(finding) ? delivered[finding][source] * litres[cell] : 0),
        0,
      ),
    );
    const found = holds[target] * entered[target] * AMOUNT_FACTOR ** random.normal();
    if (found < LEAST_FOUND_LITRES) continue;
    const findings = evidence.findings.map((finding, index) =>
      index === target
        ? findingAt(at, { seen: 'amount', litres: found })
        : lookAt(finding.at as string, { litres: entered[index], world }, random),
    );
    const share = new Float64Array(evidence.sources.length);
    evidence.cells.forEach(({ source, seenBy }, cell) => {
      if (seenBy.includes(target)) share[source] += delivered[target][source] * litres[cell];
    });
    const total = share.reduce((sum, part) => sum + part, 0);
    return {
      question: { ...question, evidence: { ...evidence, findings } },
      share: share.map((part) => part / total),
      logTheta,
    };
  }
  throw new Error(`no draw of ${MOST_TRIES} put ${LEAST_FOUND_LITRES} L into ${at}`);
}

function lookAt(at: string, { litres, world }: { litres: number; world: World }, random: Random): Counted {
  const isOily = random.uniform() < noticed(litres, DEFAULT_NOTICE_LITRES);
  const isWrong = random.uniform() < MISREAD;
  return findingAt(at, {
    seen: isOily !== isWrong ? 'oil' : 'clean',
    misread: world === 'model' ? MISREAD : undefined,
  });
}

function thetaOf({ manner }: Setting, { sources }: Evidence, random: Random): number {
  if (manner === 'model') return THETA.median * THETA.factor ** random.normal();
  const litres = sources.reduce((sum, { litresPerYear }) => sum + litresPerYear * WINDOW_YEARS, 0);
  return manner === 'spill' ? litres * SPILL_TIMES : litres / SEEPAGE_PARTS;
}

/** Litres of every cell: yields strayed, then gamma. */
function released(
  { sources, cells }: Evidence,
  { logTheta, world }: { logTheta: number; world: World },
  random: Random,
): Float64Array {
  const ofActivity = new Map<string, number>();
  const logYield = sources.map(({ zone, litresPerYear, roughness }) => {
    if (!zone) return Math.log(litresPerYear);
    if (world === 'rough') return Math.log(litresPerYear) + Math.log(ROUGH_YIELD_FACTOR) * random.normal();
    const { activity } = zone.properties;
    const shared = ofActivity.get(activity) ?? random.normal();
    ofActivity.set(activity, shared);
    return Math.log(litresPerYear) + roughness.activity * shared + roughness.own * random.normal();
  });
  return Float64Array.from(cells, ({ source, years }) =>
    Math.exp(logTheta + logGammaDraw(random, years * Math.exp(logYield[source] - logTheta))),
  );
}
