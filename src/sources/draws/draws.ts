import type { DeliveryModel } from '../model/delivery-model.ts';
import type { ReleasePrior } from '../model/rates.ts';
import type { Question } from '../question/question.ts';
import { CHAINS, chainDraws, sweepsFor } from './chain/chain-draws.ts';
import type { Draws } from './draw-table.ts';
import { weighedDraws } from './weighing/weighed-draws.ts';

/** Prior of θ where none is given: median 2 L, within ×/÷ 4 two times in three. A guess. */
const RELEASE_PRIOR: ReleasePrior = { median: 2, factor: 4 };

/** Draws that are handed on where they were weighed, and what the weighted ones must be worth. */
const WEIGHED_COUNT = 3_000;
const WEIGHED_WORTH = 0.5;

/**
 * Draws from the posterior: by weighing independent draws where their weights are even enough, else by four Markov
 * chains. With `sweeps`, as many draws as four chains of so many kept sweeps, by either.
 *
 * The two engines share model and likelihood, but not the way of drawing, and a test holds them to each other. Weighing is
 * asked first, since its draws are independent and it knows when it fails; chains go on where it gives up, which is mostly
 * where findings say so much against the prior that hardly a draw of it fits. Which one answers depends on the question and the
 * seed alone. The cost is that of weighing, and of the chains besides where they are asked.
 */
export function drawPosterior(question: Question, model: DeliveryModel, sweeps?: number): Draws {
  const { evidence, releaseLitres } = question;
  const prior = releaseLitres === null ? RELEASE_PRIOR : { litres: releaseLitres };
  const count = sweeps === undefined ? WEIGHED_COUNT : CHAINS * sweeps;
  return (
    weighedDraws(question, { model, prior, count, effective: WEIGHED_WORTH * count }) ??
    chainDraws(question, { model, prior, sweeps: sweeps ?? sweepsFor(evidence.cells.length) })
  );
}
