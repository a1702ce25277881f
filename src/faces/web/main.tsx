import 'leaflet/dist/leaflet.css';
import './style/look.css';
import './style/page.css';
import './style/panel.css';
import './style/map.css';
import './style/spill.css';
import './style/plan.css';
import './style/log.css';
import './style/sign-in.css';
import './style/print.css';
import { render } from 'preact';
import { App } from './page/app.tsx';
import { printWithAnswer } from './page/print.tsx';
import { followAddress } from './state/address.ts';
import { keepClock } from './state/clock.ts';
import { keepUp } from './state/keep-up.ts';
import { keepBook } from './state/log-book.ts';
import { workOffline } from './state/offline.ts';
import { openFirstYard } from './state/open.ts';
import { keepParted } from './state/parted.ts';
import { keepUpkeep } from './state/upkeep.ts';
import { keepDraft } from './state/visit-draft.ts';

const app = document.getElementById('app');
const paper = document.getElementById('paper');
if (app && paper) {
  render(<App />, app);
  printWithAnswer(paper);
  keepUp();
  keepClock();
  keepBook();
  keepParted();
  keepUpkeep();
  keepDraft();
  void openFirstYard().then(followAddress);
  void workOffline();
}
