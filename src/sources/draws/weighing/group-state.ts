import { logGammaDraw, type Random } from '../../../algorithms/index.ts';

/** What each group released, as a draw goes on: a gamma that takes in one finding after the other, then litres. */
export interface GroupState {
  shape: Float64Array;
  /** Per litre. */
  rate: Float64Array;
  litres: Float64Array;
  /** ln litres, which does not underflow. */
  logLitres: Float64Array;
  /** 1 where litres are drawn. */
  isDrawn: Uint8Array;
}

/** Room for so many groups, all of it 0: `Weighing` fills it anew for every draw. */
export function groupState(count: number): GroupState {
  const [shape, rate, litres, logLitres] = [0, 1, 2, 3].map(() => new Float64Array(count));
  return { shape, rate, litres, logLitres, isDrawn: new Uint8Array(count) };
}

/** Draws the litres of one group from its gamma as it is now, findings taken in so far included, and marks it as drawn. */
export function drawLitres({ shape, rate, litres, logLitres, isDrawn }: GroupState, group: number, random: Random) {
  logLitres[group] = logGammaDraw(random, shape[group]) - Math.log(rate[group]);
  litres[group] = Math.exp(logLitres[group]);
  isDrawn[group] = 1;
}
