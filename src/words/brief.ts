import type { BlockAnswer } from '../block/index.ts';
import type { Voice } from '../catalogue/index.ts';
import { type Places, planTelling } from './plan.ts';

/** So many later steps are read out: who listens on a radio keeps no more in mind. */
const MOST_NEXT = 2;

/**
 * A plan to read over a radio, in five short lines: what protects people, what it is, what to do now, what comes next, what that
 * keeps. They say what the plan's telling says, with the same names.
 */
export function briefOf(answer: BlockAnswer, places: Places, voice: Voice): string[] {
  const { spill, zone } = answer;
  const { first, steps, now, kept, state } = planTelling(answer, places, voice);
  const [step, ...later] = steps;
  const next = later.slice(0, MOST_NEXT).map(({ sentence }) => sentence);
  const what = {
    litres: { litres: spill.litres },
    fluid: voice.say(spill.fluid === null ? 'answers.brief-unknown' : `things.fluid-${spill.fluid}`),
    minutes: Math.round(spill.overMinutes),
  };
  return [
    first.join(' '),
    zone === null
      ? voice.say('answers.brief-here', what)
      : voice.say('answers.brief-on', { ...what, zone: places.nameOf(zone) }),
    step ? [...step.before, step.sentence, step.when ?? ''].join(' ').trimEnd() : now.join(' '),
    next.length > 0 ? voice.say('answers.brief-next', { steps: next.join(' ') }) : voice.say('answers.brief-no-next'),
    [kept[0], ...(step ? [] : [state])].join(' '),
  ];
}
