import type { Drainage } from '../../drainage/index.ts';
import { byId } from '../../site-map/index.ts';
import type { Draws } from '../draws/draw-table.ts';
import { drawPosterior } from '../draws/draws.ts';
import type { Finding } from '../findings/findings.ts';
import { deliveryModel } from '../model/delivery-model.ts';
import { isSeen } from '../question/observation.ts';
import { poseQuestion, type SourcesOptions } from '../question/question.ts';
import { expectedLitresPerYear, roughnessOf } from '../question/yields.ts';

/** What a zone is thought to release in a year, litres: mean and 5 % and 95 % bounds, beside what was thought before any finding. */
export interface LearnedRate {
  id: string;
  litresPerYear: number;
  low: number;
  high: number;
  defaultLitresPerYear: number;
}

/** 95 % point of the standard normal. */
const NORMAL_95 = 1.6448536269514722;

/**
 * What each zone really releases, as far as the findings tell: its yield, learned together with everything else that
 * is not known (windows one after the other need no order, since they are independent given the yields). A zone that
 * no finding sees keeps its default with the roughness it had; one whose yield is known keeps it. In the map's order of
 * ids. Costs one posterior.
 */
export function learnRates(
  drainage: Drainage,
  findings: readonly Finding[],
  options: SourcesOptions = {},
): LearnedRate[] {
  const { map } = drainage;
  const question = poseQuestion(drainage, findings, options);
  const { sources } = question.evidence;
  const draws = drawPosterior(question, deliveryModel(drainage, question.evidence));
  const wasSeen = question.evidence.findings.some(isSeen);
  return [...map.zones]
    .sort((a, b) => byId(a.id, b.id))
    .map((zone) => {
      const source = sources.findIndex((each) => each.zone === zone);
      const defaultLitresPerYear = expectedLitresPerYear(zone);
      const { activity, own } = roughnessOf(map, zone);
      const spread = Math.hypot(activity, own);
      const rate =
        source >= 0 && wasSeen ? learned(draws, source, sources.length) : unlearned(defaultLitresPerYear, spread);
      return { id: zone.id, ...rate, defaultLitresPerYear };
    });
}

type Rate = Pick<LearnedRate, 'litresPerYear' | 'low' | 'high'>;

function learned({ count, litresPerYear }: Draws, source: number, size: number): Rate {
  const values = Float64Array.from({ length: count }, (_, draw) => litresPerYear[draw * size + source]).sort();
  return {
    litresPerYear: values.reduce((sum, value) => sum + value, 0) / count,
    low: values[Math.floor(0.05 * count)],
    high: values[Math.floor(0.95 * count)],
  };
}

/** Mean and bounds of a log-normal around a median. */
function unlearned(median: number, spread: number): Rate {
  return {
    litresPerYear: median * Math.exp(spread ** 2 / 2),
    low: median * Math.exp(-NORMAL_95 * spread),
    high: median * Math.exp(NORMAL_95 * spread),
  };
}
