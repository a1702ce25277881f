import type { Source } from '../question/evidence.ts';

/** How the yields of the sources are rough together, as the engines draw it. */
export interface Kinships {
  /** Standard deviation of ln yield that is each source's own. */
  own: Float64Array;
  /** Sources whose yields share a factor, with its standard deviation on the log scale. */
  shared: { sources: number[]; spread: number }[];
}

/**
 * Sorts out what of the roughness of yields is shared. One alone of its activity has nobody to share with: it is all its own,
 * the two standard deviations added as independent ones are, √(own² + shared²). Same prior, and one number less to learn.
 *
 * The shared factor stands for what is wrong with a default for all of its kind, such as workshops that spill less than most;
 * findings at one zone then teach something about the others. Unmapped sources have no activity and share nothing. O(sources).
 */
export function kinshipsOf(sources: readonly Source[]): Kinships {
  const own = Float64Array.from(sources, ({ roughness }) => roughness.own);
  const byActivity = new Map<string, number[]>();
  sources.forEach(({ zone, roughness }, source) => {
    if (!zone || roughness.activity === 0) return;
    const { activity } = zone.properties;
    byActivity.set(activity, [...(byActivity.get(activity) ?? []), source]);
  });
  const shared: Kinships['shared'] = [];
  for (const kin of byActivity.values()) {
    const spread = sources[kin[0]].roughness.activity;
    if (kin.length > 1) shared.push({ sources: kin, spread });
    else own[kin[0]] = Math.hypot(own[kin[0]], spread);
  }
  return { own, shared };
}
