import './app/layers.css';
import { render } from 'preact';
import { App } from './app/app.tsx';
import { fetchOtherParts } from './app/lazy-part.tsx';
import { printWithAnswer } from './app/print.tsx';
import { followAddress, keepWaiting, takeFirstLook } from './state/address.ts';
import { keepClock } from './state/clock.ts';
import { keepAnswersCurrent } from './state/current-answers.ts';
import { dropCompleteCopies } from './state/diverged-copies.ts';
import { afterFirstAnswer } from './state/first-answer.ts';
import { heedForgetting } from './state/forget.ts';
import { keepForms } from './state/form-values.ts';
import { keepFindings } from './state/kept-findings.ts';
import { speakAsWanted } from './state/language.ts';
import { keepBook } from './state/log-book.ts';
import { workOffline } from './state/offline.ts';
import { keepPlan } from './state/plan.ts';
import { fetchForms } from './state/replies.ts';
import { keepSharing } from './state/shared-spill.ts';
import { keepSpill } from './state/spill.ts';
import { keepUpkeep } from './state/upkeep.ts';
import { keepDraft } from './state/visit-draft.ts';

/** All that lives as long as the page does. The first words are there before anything is drawn. */
async function start(app: HTMLElement, paper: HTMLElement): Promise<void> {
  takeFirstLook();
  await speakAsWanted();
  render(<App />, app);
  printWithAnswer(paper);
  keepAnswersCurrent();
  keepClock();
  keepBook();
  dropCompleteCopies();
  keepUpkeep();
  keepDraft();
  keepFindings();
  keepSpill();
  keepSharing();
  keepPlan();
  keepForms();
  keepWaiting();
  heedForgetting();
  void followAddress();
  void afterFirstAnswer().then(fetchForms).then(fetchOtherParts);
  void workOffline();
}

const app = document.getElementById('app');
const paper = document.getElementById('paper');
// Awaited here it would tear what the other parts share out of this one, and the layers of the style with it.
if (app && paper) void start(app, paper);
