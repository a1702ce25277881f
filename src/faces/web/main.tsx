import './app/layers.css';
import { render } from 'preact';
import { App } from './app/app.tsx';
import { fetchOtherParts } from './app/lazy-part.tsx';
import { printWithAnswer } from './app/print.tsx';
import { followAddress } from './state/address.ts';
import { keepClock } from './state/clock.ts';
import { keepAnswersCurrent } from './state/current-answers.ts';
import { dropCompleteCopies } from './state/diverged-copies.ts';
import { afterFirstAnswer } from './state/first-answer.ts';
import { keepBook } from './state/log-book.ts';
import { workOffline } from './state/offline.ts';
import { openFirstYard } from './state/open.ts';
import { fetchForms } from './state/replies.ts';
import { keepUpkeep } from './state/upkeep.ts';
import { keepDraft } from './state/visit-draft.ts';
import { speak } from './state/voice.ts';

const app = document.getElementById('app');
const paper = document.getElementById('paper');
if (app && paper) {
  await speak('en');
  render(<App />, app);
  printWithAnswer(paper);
  keepAnswersCurrent();
  keepClock();
  keepBook();
  dropCompleteCopies();
  keepUpkeep();
  keepDraft();
  void openFirstYard().then(followAddress);
  void afterFirstAnswer().then(fetchForms).then(fetchOtherParts);
  void workOffline();
}
