import type { Drainage } from '../../drainage/index.ts';
import { byId } from '../../site-map/index.ts';
import type { Draws } from '../draws/draw-table.ts';
import { drawPosterior } from '../draws/draws.ts';
import type { Finding } from '../findings/findings.ts';
import { deliveryModel } from '../model/delivery-model.ts';
import { expectedLitresPerYear, loadSpreadOf } from '../question/loads.ts';
import { isSeen } from '../question/observation.ts';
import { poseQuestion, type SourcesOptions } from '../question/question.ts';

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
 *
 * Litres a year, all of them. Mean and bounds are of what the zone is thought to release on average over many years, not of
 * what it will release in the next one. The default is a median, and the mean of a rough yield lies above it, 1.27 times for a
 * factor of 2, before anything was found. Findings speak of what was released in their windows; a few of them narrow the bounds
 * little, since one large release and a high yield look alike where θ is not known. The options are not checked here, as
 * `findSources` does: an `at` that is not on the map throws. The drainage must be compiled from a map without errors.
 *
 * @example
 * import { compileDrainage } from 'oilshed/drainage';
 * import { readSiteMap } from 'oilshed/site-map';
 * import { learnRates } from 'oilshed/sources';
 * const ring = [[-105, 40], [-104.999, 40], [-104.999, 40.001], [-105, 40]];
 * const properties = { kind: 'zone', activity: 'parking', oilLitresPerYear: 3, yieldFactor: 2, drainsTo: 'CB-1' };
 * const lot = { type: 'Feature', id: 'Z-1', properties, geometry: { type: 'Polygon', coordinates: [ring] } };
 * const lid = { type: 'Feature', id: 'CB-1', properties: { kind: 'catch-basin' }, geometry: { type: 'Point', coordinates: [-105, 40] } };
 * const site = { format: 'oilshed-site', version: 1 };
 * const { map } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site, features: [lot, lid] }));
 * // Before any finding: the default, as rough as it was.
 * const [rate] = learnRates(compileDrainage(map), []);
 * [rate.low, rate.litresPerYear, rate.high].map((litres) => litres.toFixed(2)); // → ['0.96', '3.81', '9.38']
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
      const { activity, own } = loadSpreadOf(map, zone);
      const spread = Math.hypot(activity, own);
      const rate =
        source >= 0 && wasSeen ? learned(draws, source, sources.length) : unlearned(defaultLitresPerYear, spread);
      return { id: zone.id, ...rate, defaultLitresPerYear };
    });
}

type Rate = Pick<LearnedRate, 'litresPerYear' | 'low' | 'high'>;

/** Mean and bounds of a source's yield over the draws, `size` sources to a draw. O(draws × log draws). */
function learned({ count, litresPerYear }: Draws, source: number, size: number): Rate {
  const values = Float64Array.from({ length: count }, (_, draw) => litresPerYear[draw * size + source]).sort();
  return {
    litresPerYear: values.reduce((sum, value) => sum + value, 0) / count,
    low: values[Math.floor(0.05 * count)],
    high: values[Math.floor(0.95 * count)],
  };
}

/** Mean and bounds of a log-normal around a median: with σ = `spread` the mean is median × exp(σ²/2). */
function unlearned(median: number, spread: number): Rate {
  return {
    litresPerYear: median * Math.exp(spread ** 2 / 2),
    low: median * Math.exp(-NORMAL_95 * spread),
    high: median * Math.exp(NORMAL_95 * spread),
  };
}
