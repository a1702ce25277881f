import { type Random, seededRandom } from '../../src/algorithms/index.ts';
import { type Drainage, holdsOf, oilshed } from '../../src/drainage/index.ts';
import { rankLids } from '../../src/sources/answer/next-lid.ts';
import { mainSources } from '../../src/sources/answer/shares.ts';
import { drawPosterior } from '../../src/sources/draws/draws.ts';
import { expectedLitresPerYear, type Finding } from '../../src/sources/index.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { noticed } from '../../src/sources/model/likelihood.ts';
import { poseQuestion } from '../../src/sources/question/question.ts';
import {
  bestHunt,
  entropyBits,
  everyone,
  type Hunt,
  halving,
  isOne,
  members,
  narrowed,
  play,
  walkingUp,
} from './hunt.ts';
import { type Estimate, estimate } from './scores.ts';
import { findingAt, lidsAbove, type World } from './truth.ts';
import type { StudyYard } from './yards.ts';

/** What a way of choosing lids cost and how often it ended at the source. */
export interface Outcome {
  lids: Estimate;
  right: Estimate;
}

export interface Race {
  suspects: number;
  zones: number;
  lids: number;
  bits: number;
  /** Exact least mean number of lids with right answers; null where there are too many suspects. */
  best: number | null;
  outcomes: Record<'tool' | 'told' | 'toldSure' | 'walk' | 'halve', Outcome> & { best: Outcome | null };
}

/*
 * The ways of choosing: `tool` as it is, θ inferred; `told` that it was one spill (releases of 500 L), and `toldSure`
 * the same until it is 90 % sure of one suspect; `walk` up from the point; `halve` by count; `best` by dynamic programme.
 */

/** The hunt with the zones that its suspects stand for. */
interface YardHunt {
  hunt: Hunt;
  /** Zone ids of each suspect. */
  zoneIds: string[][];
  suspectOf: Map<string, number>;
}

const FOUND_LITRES = 10;
const NOTICE_LITRES = 0.1;
const MISREAD = 0.05;
const ROUGH_YIELD_FACTOR = 3;
/** θ for a tool that is told it was one spill: far above what was found. */
const ONE_SPILL_LITRES = 500;
const SURE = 0.9;
const LEAST_BITS = 1e-4;
/** Nobody opens more lids than this to be surer. */
const MOST_LIDS = 8;
const MOST_SUSPECTS = 12;

/** Zones that can send oil to the point, with what of it enters each lid and the point. */
function deliveries(drainage: Drainage, at: string): Map<string, number> {
  return new Map(
    oilshed(drainage, at).flatMap(({ zone, delivered }) => (delivered > 0 ? [[zone.id, delivered] as const] : [])),
  );
}

/** Lays a yard out as a hunt: zones that the same lids stand below are one suspect; chances go by default yields. */
export function huntOf({ drainage, at }: StudyYard): YardHunt {
  const zones = [...deliveries(drainage, at).keys()];
  const lids = lidsAbove(drainage, at).map(({ id }) => id);
  const passes = lids.map((id) => deliveries(drainage, id));
  const groups = new Map<string, string[]>();
  for (const zone of zones) {
    const key = passes.map((pass) => (pass.has(zone) ? 1 : 0)).join('');
    groups.set(key, [...(groups.get(key) ?? []), zone]);
  }
  const zoneIds = [...groups.values()];
  const yields = yieldsOf(drainage);
  const weights = zoneIds.map((ids) => ids.reduce((sum, id) => sum + (yields.get(id) as number), 0));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const nextUp = (id: string) => lidsNextUp(drainage, id, lids);
  const hunt: Hunt = {
    chance: weights.map((weight) => weight / total),
    zones: zoneIds.map((ids) => ids.length),
    lids: lids.map((id, lid) => ({
      at: id,
      above: zoneIds.reduce((set, ids, suspect) => set + (passes[lid].has(ids[0]) ? 2 ** suspect : 0), 0),
      nextUp: nextUp(id),
    })),
    firstUp: nextUp(at),
  };
  const suspectOf = new Map(zoneIds.flatMap((ids, suspect) => ids.map((id) => [id, suspect] as const)));
  return { hunt, zoneIds, suspectOf };
}

const yieldsOf = ({ map }: Drainage) => new Map(map.zones.map((zone) => [zone.id, expectedLitresPerYear(zone)]));

/** The lids met first on every way up from a structure; what is no lid is passed through. */
function lidsNextUp({ map }: Drainage, from: string, lids: readonly string[]): number[] {
  const seen = new Set([from]);
  const found = new Set<number>();
  const open = [from];
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    for (const link of map.links) {
      if (link.to !== id || seen.has(link.from)) continue;
      seen.add(link.from);
      const lid = lids.indexOf(link.from);
      if (lid >= 0) found.add(lid);
      else open.push(link.from);
    }
  }
  return [...found].sort((a, b) => a - b);
}

/** What the tool says after some answers: the lid to open, and the suspect it holds most likely. */
interface Advice {
  lid: number | null;
  suspect: number;
  chance: number;
}

type Answers = ReadonlyMap<number, boolean>;

/** Asks the tool; an answer it gave before is remembered, since the same question gives the same answer. */
function advisor(
  { drainage, at }: StudyYard,
  { hunt, suspectOf }: YardHunt,
  { sweeps, releaseLitres }: { sweeps: number; releaseLitres?: number },
) {
  const remembered = new Map<string, Advice>();
  const lidOf = new Map(hunt.lids.map((lid, index) => [lid.at, index]));
  return (answers: Answers): Advice => {
    const sorted = [...answers].sort(([a], [b]) => a - b);
    const key = sorted.map(([lid, isOil]) => `${lid}${isOil ? '+' : '-'}`).join(' ');
    const known = remembered.get(key);
    if (known) return known;
    const findings: Finding[] = [
      findingAt(at, { seen: 'amount', litres: FOUND_LITRES }),
      ...sorted.map(([lid, isOil]) => findingAt(hunt.lids[lid].at, { seen: isOil ? 'oil' : 'clean' })),
    ];
    const question = poseQuestion(drainage, findings, { at, releaseLitres });
    const draws = drawPosterior(question, deliveryModel(drainage, question.evidence), sweeps);
    const { sources } = question.evidence;
    const chances = new Float64Array(hunt.chance.length);
    for (const source of mainSources(draws, sources.length)) {
      const suspect = suspectOf.get(sources[source].zone?.id ?? '');
      if (suspect !== undefined) chances[suspect] += 1 / draws.count;
    }
    const suspect = chances.indexOf(Math.max(...chances));
    const [best] = rankLids(drainage, question, draws).lids;
    const lid = best && best.bits >= LEAST_BITS ? (lidOf.get(best.at) as number) : null;
    const advice = { lid, suspect, chance: chances[suspect] };
    remembered.set(key, advice);
    return advice;
  };
}

interface Ended {
  lids: number;
  suspect: number;
}

/**
 * Follows the tool until the answers leave one suspect and, with `untilSure`, until it is sure of one; where no lid is
 * worth opening it ends with the likeliest.
 */
function playTool(
  hunt: Hunt,
  { ask, untilSure }: { ask: (answers: Answers) => Advice; untilSure: boolean },
  saysOil: readonly boolean[],
) {
  const answers = new Map<number, boolean>();
  let [suspects, left, sure]: [number, Ended | null, Ended | null] = [everyone(hunt), null, null];
  for (;;) {
    const { lid, suspect, chance } = ask(answers);
    if (isOne(suspects)) left ??= { lids: answers.size, suspect: members(suspects)[0] };
    if (chance >= SURE) sure ??= { lids: answers.size, suspect };
    const ended = { lids: answers.size, suspect };
    if ((left && (sure || !untilSure)) || lid === null || answers.size >= MOST_LIDS)
      return { left: left ?? ended, sure: sure ?? ended };
    suspects = narrowed(suspects, hunt.lids[lid], saysOil[lid]);
    answers.set(lid, saysOil[lid]);
  }
}

/** Runs all policies on the same simulated spills, each from one zone, with 10 L found at the point. */
export function race(
  yard: StudyYard,
  { world, count, seed, sweeps }: { world: World; count: number; seed: number; sweeps: number },
): Race {
  const laidOut = huntOf(yard);
  const { hunt, zoneIds, suspectOf } = laidOut;
  const random = seededRandom(seed);
  const tool = { ask: advisor(yard, laidOut, { sweeps }), untilSure: false };
  const told = { ask: advisor(yard, laidOut, { sweeps, releaseLitres: ONE_SPILL_LITRES }), untilSure: true };
  const best = hunt.chance.length <= MOST_SUSPECTS ? bestHunt(hunt) : null;
  const spill = spills(yard, laidOut, world);
  const [walk, halve] = [walkingUp(hunt), halving(hunt)];
  const runs = Array.from({ length: count }, () => {
    const { zone, saysOil } = spill(random);
    const { left, sure } = playTool(hunt, told, saysOil);
    const ended: Record<string, Ended> = {
      tool: playTool(hunt, tool, saysOil).left,
      told: left,
      toldSure: sure,
      walk: play(hunt, walk, saysOil),
      halve: play(hunt, halve, saysOil),
      ...(best ? { best: play(hunt, best.policy, saysOil) } : {}),
    };
    return { truth: suspectOf.get(zone) as number, ended };
  });
  const outcome = (policy: string): Outcome => ({
    lids: estimate(runs.map(({ ended }) => ended[policy].lids)),
    right: estimate(runs.map(({ truth, ended }) => (ended[policy].suspect === truth ? 1 : 0))),
  });
  return {
    suspects: hunt.chance.length,
    zones: zoneIds.flat().length,
    lids: hunt.lids.length,
    bits: entropyBits(hunt),
    best: best?.lids ?? null,
    outcomes: {
      tool: outcome('tool'),
      told: outcome('told'),
      toldSure: outcome('toldSure'),
      walk: outcome('walk'),
      halve: outcome('halve'),
      best: best ? outcome('best') : null,
    },
  };
}

/** Draws the zone of a spill by true yield, and what every lid would say. */
function spills({ drainage, at }: StudyYard, { hunt, zoneIds }: YardHunt, world: World) {
  const zones = zoneIds.flat();
  const yields = yieldsOf(drainage);
  const toPoint = deliveries(drainage, at);
  const toLid = hunt.lids.map((lid) => deliveries(drainage, lid.at));
  const structure = drainage.map.structures.find(({ id }) => id === at);
  const holds = structure ? holdsOf(structure) : 1;
  return (random: Random) => {
    const weights = zones.map((id) => {
      const off = world === 'rough' ? ROUGH_YIELD_FACTOR ** random.normal() : 1;
      return (yields.get(id) as number) * off;
    });
    const zone = zones[pick(weights, random)];
    const litres = FOUND_LITRES / (holds * (toPoint.get(zone) as number));
    const saysOil = toLid.map((delivered) => {
      const isOily = random.uniform() < noticed(litres * (delivered.get(zone) ?? 0), NOTICE_LITRES);
      const isWrong = world === 'rough' && random.uniform() < MISREAD;
      return isOily !== isWrong;
    });
    return { zone, saysOil };
  };
}

/** A place, with chance by weight. */
function pick(weights: readonly number[], random: Random): number {
  let rest = random.uniform() * weights.reduce((sum, weight) => sum + weight, 0);
  for (let at = 0; at < weights.length - 1; at++) {
    rest -= weights[at];
    if (rest < 0) return at;
  }
  return weights.length - 1;
}
