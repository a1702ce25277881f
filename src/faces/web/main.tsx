import 'leaflet/dist/leaflet.css';
import './style/look.css';
import './style/page.css';
import './style/panel.css';
import './style/map.css';
import './style/spill.css';
import './style/plan.css';
import './style/print.css';
import { render } from 'preact';
import { App } from './page/app.tsx';
import { printWithAnswer } from './page/print.tsx';
import { followAddress } from './state/address.ts';
import { keepClock } from './state/clock.ts';
import { keepUp } from './state/keep-up.ts';
import { workOffline } from './state/offline.ts';
import { openFirstYard } from './state/open.ts';

const app = document.getElementById('app');
const paper = document.getElementById('paper');
if (app && paper) {
  render(<App />, app);
  printWithAnswer(paper);
  keepUp();
  keepClock();
  void openFirstYard().then(followAddress);
  void workOffline();
}
