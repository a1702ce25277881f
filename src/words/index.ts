/** Answers in words: sentences, lists, names and units, the same on the command line, on screen and on paper. */
export { controlOrder, controlOrders, orderWithin } from './block.ts';
export { briefOf } from './brief.ts';
export { dayWords } from './days.ts';
export { lookWords, reasonWords, saidWords, seenCell, tagWords } from './finding.ts';
export {
  contentsWords,
  kitsAssumptions,
  kitsSentences,
  namesWords,
  newKitsSentence,
  walkDigits,
  walkMinutes,
  whyHereSentence,
} from './kits.ts';
export { measureName, measuresAssumptions, measuresSentences, perLitreWords } from './measures.ts';
export { leftMinutes, ringMinutes, shortMinutes, takesMinutes } from './minutes.ts';
export {
  type KeptOut,
  keptOut,
  type Places,
  type PlanTelling,
  planTelling,
  type StepTelling,
} from './plan.ts';
export { siteMark, siteWord } from './site-word.ts';
export {
  assumedSentences,
  groupSentences,
  howSureSentence,
  isUnexplained,
  type KindOf,
  lidCare,
  lidPlanSentences,
  lidWords,
  nextLidSentence,
  nextLidWords,
  rangeWords,
  releaseSentence,
  ruledOutSentences,
  sourcesSentence,
  walkWords,
  whySentence,
} from './sources.ts';
export { litresSentence, spillAssumptions, spillSentences } from './spill.ts';
export { takenWords } from './taken.ts';
export {
  chanceWords,
  contractorOf,
  contractorWords,
  dueWords,
  fullSentences,
  thicknessWords,
  throughWords,
  upkeepAssumptions,
  upkeepSentences,
} from './upkeep.ts';
export {
  type ConditionLine,
  conditionWords,
  entryWords,
  joinedSteps,
  kindWord,
  stepsTold,
  stepWords,
  visitCautions,
} from './visit.ts';
export { writerWords } from './writer.ts';
