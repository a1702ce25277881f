/** Answers in words: sentences, lists, names and units, the same on the command line, on screen and on paper. */
export { blockAssumptions, controlOrder, controlOrders, doNothingSentence, planSentences } from './block.ts';
export { daysApart, dayWords, fullDay, fullDayOf, shortDay } from './days.ts';
export { reasonWords, saidWords, tagWords, visitSeenWords } from './finding.ts';
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
export { listWords } from './list.ts';
export { MEASURES_ASSUMED, measureName, measuresSentences, perLitreWords } from './measures.ts';
export { saidMinutes, shortMinutes, takesMinutes } from './minutes.ts';
export { siteWord } from './site-word.ts';
export {
  assumedSentences,
  groupSentences,
  howSureSentence,
  isUnexplained,
  lidPlanSentences,
  nextLidSentence,
  rangeWords,
  releaseSentence,
  ruledOutSentences,
  sourcesSentence,
  walkWords,
  whySentence,
} from './sources.ts';
export { spillAssumptions, spillSentences } from './spill.ts';
export {
  chanceWords,
  contractorWords,
  dueWords,
  fullSentences,
  thicknessWords,
  throughWords,
  UPKEEP_ASSUMED,
  upkeepSentences,
} from './upkeep.ts';
export {
  type ConditionLine,
  conditionWords,
  entryWords,
  joinedSteps,
  kindWord,
  stepsSentence,
  stepWords,
  VISIT_CAUTIONS,
} from './visit.ts';
export { writerWords } from './writer.ts';
