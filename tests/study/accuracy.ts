import { seededRandom } from '../../src/algorithms/index.ts';
import { mainSources } from '../../src/sources/answer/shares.ts';
import type { Draws } from '../../src/sources/draws/draw-table.ts';
import { drawPosterior } from '../../src/sources/draws/draws.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { brier, type Estimate, estimate, isCovered, largestFirst, rankOf } from './scores.ts';
import { type Setting, type Simulated, simulate } from './truth.ts';

/** How the answers of one yard in one world did. */
export interface Accuracy {
  top1: Estimate;
  top3: Estimate;
  in50: Estimate;
  in90: Estimate;
  brier: Estimate;
  /** The same from default yields and delivery alone, without any finding. */
  blindTop1: Estimate;
  blindBrier: Estimate;
  /** Part of the answers that call themselves rough: under 100 effective draws or an R-hat over 1.1. */
  rough: Estimate;
}

/** Values of one source, draw by draw. */
export function column({ share, count }: Draws, source: number): Float64Array {
  const size = share.length / count;
  return Float64Array.from({ length: count }, (_, draw) => share[draw * size + source]);
}

const meanOf = (values: Float64Array) => values.reduce((sum, value) => sum + value, 0) / values.length;

/** Simulates, asks, and scores `count` times. */
export function measureAccuracy(
  setting: Setting,
  { count, seed, sweeps }: { count: number; seed: number; sweeps: number },
): Accuracy {
  const random = seededRandom(seed);
  const runs = Array.from({ length: count }, () => {
    const simulated = simulate(setting, random);
    const draws = drawPosterior(
      simulated.question,
      deliveryModel(setting.drainage, simulated.question.evidence),
      sweeps,
    );
    return { ...scoreAnswer(simulated, draws, seededRandom(simulated.question.seed)), ...scoreBlind(simulated) };
  });
  const of = (key: keyof (typeof runs)[number]) => estimate(runs.map((run) => Number(run[key])));
  return {
    top1: of('top1'),
    top3: of('top3'),
    in50: of('in50'),
    in90: of('in90'),
    brier: of('brier'),
    blindTop1: of('blindTop1'),
    blindBrier: of('blindBrier'),
    rough: of('rough'),
  };
}

function scoreAnswer({ question, share }: Simulated, draws: Draws, random: ReturnType<typeof seededRandom>) {
  const { evidence, target } = question;
  const size = evidence.sources.length;
  const [main] = largestFirst(share);
  const chances = new Float64Array(size);
  for (const source of mainSources(draws, size)) chances[source] += 1 / draws.count;
  const columns = evidence.sources.map((_, source) => column(draws, source));
  const listed = largestFirst(columns.map(meanOf));
  const reaching = evidence.sources.flatMap((_, source) => (evidence.delivered[target][source] > 0 ? [source] : []));
  const ranks = reaching.map((source) => rankOf(share[source], columns[source], random));
  const covered = (part: number) =>
    ranks.filter((rank) => isCovered({ rank, draws: draws.count, part })).length / ranks.length;
  const { effectiveCount, rHat } = draws.mixing;
  return {
    top1: listed[0] === main,
    top3: listed.slice(0, 3).includes(main),
    in50: covered(0.5),
    in90: covered(0.9),
    brier: brier(chances, main),
    rough: effectiveCount < 100 || rHat > 1.1,
  };
}

function scoreBlind({ question: { evidence, target }, share }: Simulated) {
  const [main] = largestFirst(share);
  const litres = evidence.sources.map(
    ({ litresPerYear }, source) => litresPerYear * evidence.delivered[target][source],
  );
  const total = litres.reduce((sum, each) => sum + each, 0);
  return {
    blindTop1: largestFirst(litres)[0] === main,
    blindBrier: brier(
      litres.map((each) => each / total),
      main,
    ),
  };
}
