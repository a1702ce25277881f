import type { Told } from '../catalogue/index.ts';
import type { BlockAnswer, BlockPlan } from './answer.ts';
import type { Offer } from './offers.ts';

/** A control of a plan, while it is put together. Minutes as the model counts them; -Infinity while time is not counted. */
export interface Chosen {
  offer: Offer;
  minutes: number;
  hand: string | null;
  kit: string | null;
}

/** What is to be placed, why not more, and how far it may be from the best. */
export interface Choice {
  chosen: Chosen[];
  why: Told | null;
  state: BlockAnswer['state'];
  gap: BlockPlan['gap'];
  /** Of how many places only the best alone were looked at; null where all were. */
  bestOf: { places: number; best: number } | null;
}

export const NO_GAP: BlockPlan['gap'] = { toWater: 0, toPublicDrain: 0, pastGrates: 0, money: 0 };
